"""The best way through a space: Dijkstra's search (1959) by time, then moves, or the reverse.

It is exact: what it returns is the best there is, and where it finds nothing there is nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum
from heapq import heappop, heappush

from verifier.engines.contract import Budget
from verifier.puzzle.space import Edge, Space
from verifier.simulate.machine import TooManyDrawsError
from verifier.simulate.onward import Way
from verifier.verdict.evidence import Stopped, Why

Cost = tuple[int, int]


class Order(Enum):
    """What is made least first; the other decides between equals."""

    TIME = "time"
    MOVES = "moves"

    def cost(self, ticks: int, moves: int) -> Cost:
        """Return what is compared."""
        return (ticks, moves) if self is Order.TIME else (moves, ticks)


@dataclass(frozen=True, slots=True)
class Path:
    """A way to the target, met in the tick of the last edge, which is tick `ticks` of the run."""

    edges: tuple[Edge, ...]
    ticks: int
    moves: int


@dataclass(frozen=True, slots=True)
class Nothing:
    """There is no way; all `states` that can come were tried."""

    states: int


def best(space: Space, order: Order, budget: Budget) -> Path | Nothing | Stopped:
    """Return the best way that counts; a run counts only if it can go on for ever."""
    return _Search(space, order).run(budget)


@dataclass(slots=True, eq=False)
class _Search:
    """`heap` holds costs with a state to go on from, or with an edge that meets the target."""

    space: Space
    order: Order
    known: dict[int, Cost] = field(default_factory=lambda: {0: (0, 0)})
    came: dict[int, tuple[int, Edge]] = field(default_factory=dict)
    done: set[int] = field(default_factory=set)
    heap: list[tuple[Cost, bool, int, int, Edge | None]] = field(default_factory=list)
    serial: int = 0

    def run(self, budget: Budget) -> Path | Nothing | Stopped:
        self._push((0, 0), 0, None)
        while self.heap:
            cost, _, _, number, last = heappop(self.heap)
            if last is not None:
                found = self._met(cost, number, last)
                if found is not None:
                    return found
            elif number not in self.done:
                if budget.spent():
                    words = f"{len(self.done)} states were tried and there are more"
                    return Stopped(Why.TIME, words)
                if len(self.space) > self.space.most:
                    return Stopped(Why.SIZE, f"there are more than {self.space.most} states")
                try:
                    edges = self.space.edges(number)
                except TooManyDrawsError as many:
                    return Stopped(Why.NOT_SUITED, str(many))
                budget.use(self.space.cost(edges))
                self._go_on(cost, number, edges)
        return Nothing(len(self.done))

    def _push(self, cost: Cost, number: int, last: Edge | None) -> None:
        self.serial += 1
        # Of equals an end comes first, then what was met first: where nobody acts more than needed.
        heappush(self.heap, (cost, last is None, self.serial, number, last))

    def _met(self, cost: Cost, number: int, last: Edge) -> Path | Stopped | None:
        match self.space.lives(last.to):
            case Way.FOUND:
                ticks, moves = cost if self.order is Order.TIME else cost[::-1]
                return Path((*self._back(number), last), ticks, moves)
            case Way.UNKNOWN:
                return Stopped(Why.SIZE, "whether a run can go on for ever was not found out")
            case Way.NONE:
                return None

    def _go_on(self, cost: Cost, number: int, edges: Sequence[Edge]) -> None:
        self.done.add(number)
        for edge in edges:
            if edge.met:
                self._push(plus(cost, self.order.cost(0, edge.moves)), number, edge)
            if edge.to not in self.done:
                after = plus(cost, self.order.cost(edge.ticks, edge.moves))
                if edge.to not in self.known or after < self.known[edge.to]:
                    self.known[edge.to] = after
                    self.came[edge.to] = (number, edge)
                    self._push(after, edge.to, None)

    def _back(self, number: int) -> list[Edge]:
        edges = []
        while number:
            number, edge = self.came[number]
            edges.append(edge)
        return edges[::-1]


def plus(one: Cost, other: Cost) -> Cost:
    """Return what both cost together."""
    return one[0] + other[0], one[1] + other[1]
