"""In which order the things that a goal needs come on the way to it.

Of two things that every route uses, A and B, either on each route some use of A begins before one
of B, or in the same tick; or there is a route on which none does, and a run shows it. What else is
done on the way does not matter: a wrong pull that undoes what was done before is no order.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from verifier.puzzle.bypass_ask import Asker, Found, other_way_round
from verifier.puzzle.bypass_elements import Element, Kind

MOST = 8
"""Of more things than this only the first on the quickest route are put in order."""

KINDS = (Kind.HAND, Kind.OPTION, Kind.ROOM)
"""The steps that people take; what follows from them has no order of its own."""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two elements in the order of the quickest route.

    `found` holds a route that never uses the earlier one before the later one or with it, or why
    there is none: then every route uses them in this order, if only once.
    """

    earlier: Element
    later: Element
    found: Found

    @property
    def fixed(self) -> bool:
        """Whether they come in this order on every route."""
        return self.found.route is None and not self.found.unknown


@dataclass(frozen=True, slots=True)
class Orders:
    """The elements in the order of the quickest route, and all pairs of them.

    `left_out` counts elements that were not looked at.
    """

    elements: tuple[Element, ...]
    pairs: tuple[Pair, ...]
    left_out: int

    def chains(self) -> list[list[Element]]:
        """Return the fixed orders as chains, each before the next; what follows is left out."""
        after = {(pair.earlier, pair.later) for pair in self.pairs if pair.fixed}
        near = {
            (one, other)
            for one, other in after
            if not any((one, mid) in after and (mid, other) in after for mid in self.elements)
        }
        chains: list[list[Element]] = []
        for one in self.elements:
            for other in self.elements:
                if (one, other) in near:
                    open_ = next((chain for chain in chains if chain[-1] is one), None)
                    if open_ is None:
                        chains.append([one, other])
                    else:
                        open_.append(other)
        return chains


def orders(
    asker: Asker, needed: Sequence[Element], quickest: Mapping[Element, int]
) -> Orders | None:
    """Return the orders of elements that every route uses; None if there are fewer than two."""
    steps = [one for one in needed if one.kind in KINDS]
    # Whoever does something in a room has come there first, if only in the same tick.
    steps.sort(key=lambda one: (quickest[one], one.kind is not Kind.ROOM))
    chosen = steps[:MOST]
    pairs = tuple(
        Pair(one, other, asker.ask(other_way_round(asker.goal, one.used, other.used)))
        for one, other in combinations(chosen, 2)
    )
    return Orders(tuple(chosen), pairs, len(steps) - len(chosen)) if pairs else None
