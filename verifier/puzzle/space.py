"""The space of a puzzle: every state that can come, tick by tick, with what people do on the way.

What it offers:

- `Space(system, target)`: the cone of the target, explored as far as it is asked for. States have
  numbers, 0 is the start; `edges(n)` are the ways on from one, `before(n)` (after `explore`) those
  into one; `registers_and_clocks(n)` is what it holds, `trace_of(edges)` a run of the design.
- `Rules`: choices that may not be used, and a condition that may not be met on the way.
- `explore(budget)`: the whole space, or how far it came; `dead()` are then the states from which no
  run goes on for ever within the assumptions. `lives(n)` tells it of one state without exploring.
- space_paths.py: the quickest way, the way of fewest moves, distances.

A *move* is what people do: a press, which is a change of a choice to something other than its rest,
or a walker's setting out. Waiting and letting go are none. So who holds what is part of a state,
unless moves need not be counted (`counts=False`): then all edges say 0.

An edge of several ticks stands for a wait in which no choice makes a difference; it is as long as
nothing changes but clocks that run, so nothing is left out.
"""

from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import product
from typing import NamedTuple

from verifier.engines.contract import Budget
from verifier.puzzle.space_code import Flat, Found, is_drawn, spread, ticks_of, ways_of
from verifier.simulate.machine import (
    MOST_DRAWS,
    NO_DRAW,
    Machine,
    Position,
    TooManyDrawsError,
    machine,
)
from verifier.simulate.onward import Way, completed, way_on
from verifier.simulate.presses import Stretch, state_of, trace_of
from verifier.system.cone import cone
from verifier.system.expr import Node
from verifier.system.model import System
from verifier.verdict.evidence import Stopped, Why
from verifier.verdict.trace import State, Trace

MOST_ROWS = 2048
"""With more ways to choose in one tick no space is explored."""

MOST_STATES = 300_000
"""States that one space holds at the most; a million take about a gigabyte."""

EDGE = 4e-6
STATE = 6e-6
"""Measured: seconds for an edge and for a state more."""

Drawn = tuple[int, ...]


class Edge(NamedTuple):
    """A way on: to which state, in how many ticks, by how many moves, with which row of choices.

    `met`: the target is live in this tick (and the edge is one tick long). `drawn`: what clocks
    show next that load a span from a range, by place in the cone; None where none does.
    """

    to: int
    ticks: int
    moves: int
    row: int
    met: bool
    drawn: Drawn | None = None


def _acts(row: Sequence[int]) -> tuple[int, list[bool], Sequence[int]]:
    """Order ways to choose: fewest acts first, of equals those who stand first in the design."""
    rests = [not one for one in row]
    return len(row) - sum(rests), rests, row


@dataclass(frozen=True, slots=True)
class Rules:
    """What the people in a puzzle are to do without.

    `unused` are choices by index with the position of an option, `avoid` is a condition that is
    met at no tick, the one of the target included (None: there is none).
    """

    unused: frozenset[tuple[int, int]] = frozenset()
    avoid: Node | None = None


class TooManyWaysError(ValueError):
    """There are more ways to choose in one tick than a space is made for."""


@dataclass(eq=False)
class Space:
    """The states of the cone of a target that were met so far."""

    system: System
    target: Node
    rules: Rules = field(default_factory=Rules)
    counts: bool = True
    most: int = MOST_STATES

    def __post_init__(self) -> None:
        """Print the function that explores; raises TooManyWaysError."""
        pool = self.system.pool
        avoid = pool.no if self.rules.avoid is None else self.rules.avoid
        self.cone = cone(self.system, [self.target, avoid])
        self._allowed = pool.and_(self.system.allowed, pool.not_(avoid))
        self.rows = tuple(self._rows())
        hands = self._hands()
        spread_rows = [self.spread(row) for row in self.rows]
        self._ticks = ticks_of(self.cone, self.target, self._allowed, spread_rows, hands)
        self._in_hand = dict(zip(hands, map(self._held, self.rows), strict=True))
        self._cost = self._costs(hands)
        self._ranged = any(clock.ranged for clock in self.machine.clocks)
        self._no_draws = (NO_DRAW,) * len(self.cone.clocks)
        start = self.machine.start()
        self.states: list[Flat] = [(*start[0], *start[1], 0)]
        self._numbers: dict[Flat, int] = {self.states[0]: 0}
        self._edges: list[list[Edge]] = []
        self._lives: dict[int, Way] = {}

    @cached_property
    def machine(self) -> Machine:
        """The cone as a machine, which watches the target first and what may be second."""
        return machine(self.cone, (self.target, self._allowed))

    # --- choices ----------------------------------------------------------------------------------

    def _rows(self) -> Iterator[tuple[int, ...]]:
        """Yield the ways to choose, by place in the cone, those with the fewest acts first."""
        options = [
            [
                option
                for option in range(len(self.system.choices[index].options))
                if (index, option) not in self.rules.unused or option == 0
            ]
            for index in self.cone.choices
        ]
        ways = 1
        for some in options:
            ways *= len(some)
        if ways > MOST_ROWS:
            raise TooManyWaysError(f"there are {ways} ways to choose in each tick")
        yield from sorted(product(*options), key=_acts)

    def spread(self, row: Sequence[int]) -> tuple[int, ...]:
        """Return choices by place in the cone as choices of the whole system."""
        choices = [0] * len(self.system.choices)
        for index, option in zip(self.cone.choices, row, strict=True):
            choices[index] = option
        return tuple(choices)

    def _hands(self) -> list[int]:
        """Return for each row the number of what is held in it; 0: nothing."""
        if not self.counts:
            return [0] * len(self.rows)
        known: dict[tuple[int, ...], int] = {}
        return [known.setdefault(self._held(row), len(known)) for row in self.rows]

    def held(self, number: int) -> tuple[int, ...]:
        """Return what was held in the tick before a state, by place in the cone."""
        return self._in_hand[self.states[number][-1]]

    def _held(self, row: Sequence[int]) -> tuple[int, ...]:
        presses = [self.system.choices[index].is_press for index in self.cone.choices]
        return tuple(one if press else 0 for one, press in zip(row, presses, strict=True))

    def _costs(self, hands: Sequence[int]) -> list[tuple[int, ...]]:
        """Return for each hand the moves that each row takes from there."""
        if not self.counts:
            return [(0,) * len(self.rows)]
        held = self._in_hand
        walks = [sum(map(bool, row)) - sum(map(bool, self._held(row))) for row in self.rows]
        return [
            tuple(
                steps
                + sum(now not in (0, was) for now, was in zip(held[hand], before, strict=True))
                for steps, hand in zip(walks, hands, strict=True)
            )
            for before in held.values()
        ]

    # --- states -----------------------------------------------------------------------------------

    def __len__(self) -> int:
        """Return how many states were met."""
        return len(self.states)

    def position(self, number: int) -> Position:
        """Return the registers and clocks of a state, by place in the cone."""
        flat, registers = self.states[number], len(self.cone.registers)
        return tuple(map(bool, flat[:registers])), flat[registers:-1]

    def state(self, number: int) -> State:
        """Return a state as one of the whole system; outside the cone it has start values."""
        return state_of(self.cone, self.position(number))

    def _number(self, flat: Flat) -> int:
        found = self._numbers.setdefault(flat, len(self.states))
        if found == len(self.states):
            self.states.append(flat)
        return found

    # --- ways on ----------------------------------------------------------------------------------

    def edges(self, number: int) -> list[Edge]:
        """Return the ways on from a state, one for each state that a tick leads to.

        Of choices that lead to the same with the same moves one stands for all.

        Raises:
            TooManyDrawsError: Spans can come out in very many ways.
        """
        if number < len(self._edges):
            return self._edges[number]
        state = self.states[number]
        found: Found = {}
        met: Found = {}
        same = self._ticks(state, self._cost[state[-1]], found, met)
        ways = sum(map(ways_of, (*found, *met))) if self._ranged else 0
        if ways > MOST_DRAWS:
            raise TooManyDrawsError(ways)
        ticks = self._longest_wait(number) if same else 1
        if ticks > 1:
            return self._wait(number, found, ticks)
        return [*self._tick(found, met=False), *self._tick(met, met=True)]

    def _tick(self, found: Found, *, met: bool) -> Iterator[Edge]:
        for flat, (moves, row) in found.items():
            if self._ranged and any(is_drawn(flat)):
                yield from self._drawn(flat, moves, row, met=met)
            else:
                yield Edge(self._number(flat), 1, moves, row, met)

    def _drawn(self, flat: Flat, moves: int, row: int, *, met: bool) -> Iterator[Edge]:
        clocks = slice(len(self.cone.registers), -1)
        ranged = is_drawn(flat[clocks])
        for one in spread(flat):
            drawn = tuple(
                value if free else NO_DRAW for value, free in zip(one[clocks], ranged, strict=True)
            )
            yield Edge(self._number(one), 1, moves, row, met, drawn)

    def _longest_wait(self, number: int) -> int:
        """Return for how many ticks nothing changes but clocks that run."""
        at, draws = self.position(number), self._no_draws
        look = self.machine.look(*at, self.machine.rest())
        if self.machine.fitted(look, (0,) * len(draws)) != draws:
            return 1
        return self.machine.longest_jump(at, look, draws) or 1

    def _wait(self, number: int, found: Found, ticks: int) -> list[Edge]:
        """Return ways on that go as far as no choice makes a difference."""
        at = self.position(number)
        look = self.machine.look(*at, self.machine.rest())
        registers, clocks = self.machine.after(at, look, self._no_draws, ticks)
        return [
            Edge(self._number((*registers, *clocks, flat[-1])), ticks, moves, row, met=False)
            for flat, (moves, row) in found.items()
        ]

    def cost(self, edges: Sequence[Edge]) -> float:
        """Return the nominal seconds that it takes to find the ways on from a state."""
        return STATE + EDGE * max(len(self.rows), len(edges))

    # --- the whole --------------------------------------------------------------------------------

    def explore(self, budget: Budget) -> Stopped | None:
        """Find every state that can come; None once that is done, else why not."""
        while not self.complete:
            number = len(self._edges)
            if len(self.states) > self.most:
                return Stopped(Why.SIZE, f"there are more than {self.most} states")
            if budget.spent():
                return Stopped(Why.TIME, f"{len(self.states)} states were met and there are more")
            try:
                edges = self.edges(number)
            except TooManyDrawsError as many:
                return Stopped(Why.NOT_SUITED, str(many))
            budget.use(self.cost(edges))
            self._edges.append(edges)
        return None

    @property
    def complete(self) -> bool:
        """Whether every state was found."""
        return len(self._edges) == len(self.states)

    @cached_property
    def _before(self) -> list[list[tuple[int, Edge]]]:
        before: list[list[tuple[int, Edge]]] = [[] for _ in self.states]
        for number, edges in enumerate(self._edges):
            for edge in edges:
                before[edge.to].append((number, edge))
        return before

    def before(self, number: int) -> list[tuple[int, Edge]]:
        """Return the ways into a state, each with the state that it comes from; after `explore`."""
        return self._before[number]

    def dead(self) -> frozenset[int]:
        """Return the states from which every run ends, for want of an allowed tick."""
        left = [len(edges) for edges in self._edges]
        queue = deque(number for number, ways in enumerate(left) if not ways)
        dead: set[int] = set(queue)
        while queue:
            for earlier, _ in self._before[queue.popleft()]:
                left[earlier] -= 1
                if not left[earlier]:
                    dead.add(earlier)
                    queue.append(earlier)
        return frozenset(dead)

    def lives(self, number: int) -> Way:
        """Return whether a run may go on for ever from a state, within the assumptions."""
        if self.system.allowed is self.system.pool.yes:
            return Way.FOUND
        if number not in self._lives:
            self._lives[number] = way_on(self.system, self.state(number))[0]
        return self._lives[number]

    def trace_of(self, edges: Sequence[Edge]) -> Trace:
        """Return the run that takes the edges from the start on, as one of the whole system."""
        stretches = [
            Stretch(edge.ticks, self.rows[edge.row], edge.drawn or self._no_draws) for edge in edges
        ]
        return completed(self.system, trace_of(self.cone, stretches))
