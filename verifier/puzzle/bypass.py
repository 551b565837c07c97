"""What a goal can be reached without: each lever, plate, room, passage and part in its turn.

The quickest route clears all that it does not use; each other thing is asked for by itself, and a
route that does without it clears all else that it does not use. *Never used* is asked, not
*taken away*: a plate that nobody treads on is still there and holds its gate shut.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from verifier.engines.crew import Cores
from verifier.engines.decide import Effort
from verifier.puzzle.bypass_ask import Asker, Found, without
from verifier.puzzle.bypass_elements import Element, elements_of, first_uses
from verifier.puzzle.bypass_sets import Sets, smallest_sets
from verifier.puzzle.goal import Goal
from verifier.puzzle.orders import Orders, orders
from verifier.puzzle.route import Route, Routed, find_route
from verifier.puzzle.space_paths import Order
from verifier.verdict.replay import replay


@dataclass(frozen=True, slots=True)
class Way:
    """A route, with the tick at which each element that it uses is first used."""

    route: Route
    first: dict[Element, int]


@dataclass(frozen=True, slots=True)
class Row:
    """What is known of one element: the number of a way without it; None: `found` tells why."""

    element: Element
    way: int | None
    found: Found

    @property
    def needed(self) -> bool | None:
        """Whether no route does without it; None where that is not known."""
        return None if self.way is None and self.found.unknown else self.way is None


@dataclass(frozen=True, slots=True)
class Bypass:
    """The ways found, the quickest of all first, and a row for each element.

    `orders` and `sets` are None where there is nothing to ask, or they were not wished for.
    """

    goal: Goal
    quickest: Routed
    ways: tuple[Way, ...]
    rows: tuple[Row, ...]
    orders: Orders | None = None
    sets: Sets | None = None


@dataclass(slots=True, eq=False)
class _Search:
    asker: Asker
    elements: Sequence[Element]
    ways: list[Way] = field(default_factory=list)

    def row(self, element: Element) -> Row:
        """Return whether an element is needed; a way without it that is new is kept."""
        for number, way in enumerate(self.ways):
            if element not in way.first and self._does_without(way.route, element):
                return Row(element, number, Found(way.route))
        found = self.asker.ask(without(self.asker.goal, [element.used]))
        if found.route is None:
            return Row(element, None, found)
        return Row(element, self.keep(found.route), found)

    def keep(self, route: Route) -> int:
        """Keep a route and return its number."""
        first = first_uses(self.asker.goal.system, self.elements, route.trace)
        self.ways.append(Way(route, first))
        return len(self.ways) - 1

    def _does_without(self, route: Route, element: Element) -> bool:
        """Whether the reference simulator says so too."""
        manner = without(self.asker.goal, [element.used])
        return replay(manner.system, route.trace, manner.target, anywhere=False).ruling.sound


def bypass(goal: Goal, effort: Effort, cores: Cores | None = None) -> Bypass:
    """Return what the goal can be reached without, in which order, and by which smallest sets."""
    quickest = find_route(goal, Order.TIME, effort, cores=cores)
    if quickest.route is None:
        return Bypass(goal, quickest, (), ())
    asker = Asker(goal, effort, cores)
    search = _Search(asker, elements_of(goal))
    search.keep(quickest.route)
    rows = tuple(search.row(element) for element in search.elements)
    needed = [row.element for row in rows if row.needed]
    free = [row.element for row in rows if row.way is not None]
    known = [way.first for way in search.ways]
    return Bypass(
        goal,
        quickest,
        tuple(search.ways),
        rows,
        orders(asker, needed, known[0]),
        smallest_sets(asker, free, known),
    )
