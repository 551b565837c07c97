"""All states of a puzzle, those from which the goal can't be reached, and the ways there."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from heapq import heappop, heappush

from verifier.engines.contract import Budget
from verifier.puzzle.goal import Goal
from verifier.puzzle.space import Edge, Space, TooManyWaysError
from verifier.simulate.machine import NO_DRAW
from verifier.verdict.evidence import Stopped, Why
from verifier.verdict.trace import Trace

MOST_COUNTED = 500_000
"""More states than this are not counted."""


@dataclass(frozen=True, slots=True, eq=False)
class Explored:
    """`live` are the states that runs which count come to, `stuck` those without a way to the goal.

    States that a wait passes through are not among them one by one. `fresh` are the ways on which
    the goal is not reached, `paths` all.
    """

    space: Space
    live: frozenset[int]
    stuck: frozenset[int]
    paths: "Paths"
    fresh: "Paths"

    def soonest(self, number: int, edge: Edge) -> tuple[bool, int]:
        """Return whether an edge comes only after the goal was reached, and its soonest tick."""
        if not self.fresh.fresh:
            return False, self.paths.ticks[number]
        if number in self.fresh.ticks and not edge.met:
            return False, self.fresh.ticks[number]
        return True, self.paths.ticks[number]

    def count(self, numbers: frozenset[int]) -> int | None:
        """Return how many states there are, those that waits pass through too; None: very many."""
        space = self.space
        places = {space.position(number) for number in numbers}
        rest, no_draws = space.machine.rest(), (NO_DRAW,) * len(space.cone.clocks)
        for number in numbers:
            waits = max((edge.ticks for edge in space.edges(number)), default=1)
            if len(places) + waits > MOST_COUNTED:
                return None
            if waits > 1:
                at = space.position(number)
                look = space.machine.look(*at, rest)
                after = space.machine.after
                places.update(after(at, look, no_draws, ticks) for ticks in range(1, waits))
        return len(places)

    def run(self, number: int, edge: Edge) -> Trace:
        """Return a soonest run that ends with an edge, before the goal was reached if there is."""
        afterwards, _ = self.soonest(number, edge)
        paths = self.paths if afterwards else self.fresh
        return self.space.trace_of([*paths.way_to(number), edge])

    def way_into_stuck(self) -> tuple[bool, list[Edge]]:
        """Return a soonest way to get stuck; and whether that comes only after the goal."""
        fresh = self.stuck & self.fresh.ticks.keys()
        if fresh:
            return False, self.fresh.way_into(fresh)
        return True, self.paths.way_into(self.stuck)


@dataclass(slots=True, eq=False)
class Paths:
    """The soonest ways, in ticks, to all states that count (E. W. Dijkstra 1959).

    With `fresh` only those on which the target is not met.
    """

    space: Space
    live: frozenset[int]
    fresh: bool = False
    ticks: dict[int, int] = field(default_factory=dict)
    came: dict[int, tuple[int, Edge]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Find them."""
        heap = [(0, 0, -1)]
        edges: list[tuple[int, Edge]] = []
        while heap:
            ticks, number, by = heappop(heap)
            if number in self.ticks:
                continue
            self.ticks[number] = ticks
            if by >= 0:
                self.came[number] = edges[by]
            for edge in self.space.edges(number):
                if self.fresh and edge.met:
                    continue
                if edge.to in self.live and edge.to not in self.ticks:
                    edges.append((number, edge))
                    heappush(heap, (ticks + edge.ticks, edge.to, len(edges) - 1))

    def way_into(self, targets: Iterable[int]) -> list[Edge]:
        """Return the soonest way into one of some states."""
        return self.way_to(min(targets, key=lambda number: (self.ticks[number], number)))

    def way_to(self, number: int) -> list[Edge]:
        """Return the soonest way to a state."""
        edges = []
        while number in self.came:
            number, edge = self.came[number]
            edges.append(edge)
        return edges[::-1]


def explore(goal: Goal, budget: Budget) -> Explored | Stopped:
    """Try every state, and find those from which the goal can't be reached."""
    try:
        space = Space(goal.system, goal.node, counts=False)
    except TooManyWaysError as many:
        return Stopped(Why.NOT_SUITED, str(many))
    stopped = space.explore(budget)
    if stopped is not None:
        return stopped
    live = _reached(space, space.dead())
    lost = live - _can_reach(space, live)
    # Where all begins with the goal nothing is before it.
    fresh = not all(edge.met for edge in space.edges(0))
    return Explored(space, live, lost, Paths(space, live), Paths(space, live, fresh))


def _reached(space: Space, dead: frozenset[int]) -> frozenset[int]:
    """Return the states that runs which count come to."""
    seen = {0} - dead
    todo = list(seen)
    while todo:
        for edge in space.edges(todo.pop()):
            if edge.to not in seen and edge.to not in dead:
                seen.add(edge.to)
                todo.append(edge.to)
    return frozenset(seen)


def _can_reach(space: Space, live: frozenset[int]) -> frozenset[int]:
    """Return the states from which some run that counts meets the target."""
    can = {
        number
        for number in live
        if any(edge.met and edge.to in live for edge in space.edges(number))
    }
    todo = list(can)
    while todo:
        for number, _ in space.before(todo.pop()):
            if number in live and number not in can:
                can.add(number)
                todo.append(number)
    return frozenset(can)
