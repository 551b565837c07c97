"""All states of a puzzle, those from which the goal can't be reached, and the ways there."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from heapq import heappop, heappush

from verifier.engines.contract import Budget
from verifier.puzzle.goal import Goal
from verifier.puzzle.space import Edge, Space, TooManyWaysError
from verifier.verdict.evidence import Stopped, Why


@dataclass(frozen=True, slots=True, eq=False)
class Explored:
    """`live` are the states that runs which count come to, `stuck` those without a way to the goal.

    States that a wait passes through are not among them one by one.
    """

    space: Space
    live: frozenset[int]
    stuck: frozenset[int]
    paths: "Paths"


@dataclass(slots=True, eq=False)
class Paths:
    """The soonest ways, in ticks, to all states that count (E. W. Dijkstra 1959)."""

    space: Space
    live: frozenset[int]
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
    return Explored(space, live, live - _can_reach(space, live), Paths(space, live))


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
