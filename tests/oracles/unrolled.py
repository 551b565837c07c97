"""Claims looked at tick by tick as one formula, by the SAT solvers of the package python-sat.

The unrolling of A. Biere, A. Cimatti, E. Clarke, Y. Zhu, "Symbolic model checking without BDDs",
TACAS 1999. A clock is a row of bits, one for each k: "it shows more than k". What is found breaks a
claim only if the run goes on for ever: where something is assumed, a run must come round to one of
its states.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Self

from pysat.solvers import Solver

from tests.oracles.encoding import Encoder, needed
from verifier.system.expr import Node, Op
from verifier.system.model import Clock, Question, System


class _Gates:
    """Literals of a solver, and clauses for what is made of them (Tseitin 1968)."""

    def __init__(self, solver: Solver) -> None:
        self.solver, self.last = solver, 1
        self.solver.add_clause([1])

    def fresh(self) -> int:
        self.last += 1
        return self.last

    def const(self, value: bool) -> int:
        return 1 if value else -1

    def not_(self, one: int) -> int:
        return -one

    def and_(self, parts: Sequence[int]) -> int:
        found = self.fresh()
        for part in parts:
            self.solver.add_clause([-found, part])
        self.solver.add_clause([found, *(-part for part in parts)])
        return found

    def or_(self, parts: Sequence[int]) -> int:
        return -self.and_([-part for part in parts])

    def if_(self, condition: int, then: int, other: int) -> int:
        found = self.fresh()
        for one, two in ((-condition, then), (condition, other)):
            self.solver.add_clause([one, -two, found])
            self.solver.add_clause([one, two, -found])
        return found


@dataclass(slots=True)
class _State:
    """Registers as literals, clocks as rows of literals: bit k says that it shows more than k."""

    registers: dict[int, int] = field(default_factory=dict)
    clocks: dict[int, list[int]] = field(default_factory=dict)

    @property
    def bits(self) -> list[int]:
        return [*self.registers.values(), *(bit for row in self.clocks.values() for bit in row)]


class Unrolled:
    """A system from tick 0 on, one tick more each time."""

    def __init__(self, system: System, question: Question) -> None:
        """Begin at tick 0."""
        self.system = system
        roots = [question.bad, question.goal, question.waiting]
        self.part = needed(system, [*roots, system.domain] if question.anywhere else roots)
        self.solver = Solver(name="cadical153")
        self.gates = _Gates(self.solver)
        self.states = [self._start(anywhere=question.anywhere)]
        self.encoders: list[Encoder[int]] = []
        self._look()
        if question.anywhere:
            self.solver.add_clause([self.encoders[0].of(system.domain)])

    def __enter__(self) -> Self:
        """Use it."""
        return self

    def __exit__(self, *_: object) -> None:
        """Let the solver go."""
        self.solver.delete()

    def _start(self, *, anywhere: bool) -> _State:
        state = _State()
        for index in self.part.registers:
            one = self.system.registers[index]
            is_free = anywhere and one.kept
            state.registers[index] = self.gates.fresh() if is_free else self.gates.const(one.start)
        for index in self.part.clocks:
            clock = self.system.clocks[index]
            if anywhere and clock.kept:
                state.clocks[index] = self._drawn(0, clock.longest, clock.longest)
            else:
                state.clocks[index] = [
                    self.gates.const(clock.start > k) for k in range(clock.longest)
                ]
        return state

    def _drawn(self, low: int, high: int, longest: int) -> list[int]:
        """Return a number that can be anything from low to high."""
        bits = [
            self.gates.fresh() if low <= k < high else self.gates.const(k < low)
            for k in range(longest)
        ]
        for less, more in pairwise(bits):
            self.solver.add_clause([-more, less])
        return bits

    def _look(self) -> None:
        """Make the choices of the last tick, and ask of it what is asked of all."""
        state, options = self.states[-1], dict[int, list[int]]()
        for index in self.part.choices:
            row = [self.gates.fresh() for _ in self.system.choices[index].options]
            self.solver.add_clause(row)
            for place, one in enumerate(row):
                for other in row[:place]:
                    self.solver.add_clause([-one, -other])
            options[index] = row

        def leaf(node: Node) -> int:
            index = node.data[0]
            match node.op:
                case Op.PICK:
                    return options[index][node.data[1]]
                case Op.REGISTER:
                    return state.registers[index]
                case _:
                    row = state.clocks[index]
                    return row[node.data[1]] if node.data[1] < len(row) else -1

        self.encoders.append(Encoder(self.gates, leaf))
        self.solver.add_clause([self.encoders[-1].of(self.system.allowed)])

    def go_on(self) -> None:
        """Add a tick."""
        encoder, now, then = self.encoders[-1], self.states[-1], _State()
        for index in self.part.registers:
            then.registers[index] = encoder.of(self.system.registers[index].next)
        for index in self.part.clocks:
            then.clocks[index] = self._after(self.system.clocks[index], now.clocks[index], encoder)
        self.states.append(then)
        self._look()

    def _after(self, clock: Clock, now: list[int], encoder: Encoder[int]) -> list[int]:
        runs = encoder.of(clock.runs)
        row = [
            self.gates.if_(runs, now[k + 1] if k + 1 < len(now) else -1, now[k])
            for k in range(len(now))
        ]
        for load in reversed(clock.loads):
            if load.turned:
                span = [
                    -now[load.low - k - 1]
                    if 0 <= load.low - k - 1 < len(now)
                    else (self.gates.const(k < load.low))
                    for k in range(len(now))
                ]
            else:
                span = self._drawn(load.low, load.high, clock.longest)
            when = encoder.of(load.when)
            row = [self.gates.if_(when, one, two) for one, two in zip(span, row, strict=True)]
        return row

    def can(self, *literals: int) -> bool:
        """Whether all of these can hold in one run so far."""
        return bool(self.solver.solve(assumptions=list(literals)))

    def rounds(self) -> Iterator[tuple[int, int]]:
        """Yield each tick before the last, and: the last state is the state of that tick."""
        last = self.states[-1].bits
        for tick, state in enumerate(self.states[:-1]):
            same = [
                self.gates.if_(one, two, -two) for one, two in zip(state.bits, last, strict=True)
            ]
            yield tick, self.gates.and_(same)


@dataclass(frozen=True, slots=True)
class Found:
    """What some ticks show: the first tick with a hit, and whether a run is broken for sure.

    `first` is None where none of the ticks can have a hit.
    """

    first: int | None
    sure: bool
    waits: bool = False


def found(system: System, question: Question, hit: Node, ticks: int) -> Found:
    """Look at ticks 0 to `ticks` for a hit, and for a round that waits."""
    with Unrolled(system, question) as run:
        first = None
        for tick in range(ticks + 1):
            if first is None and run.can(run.encoders[tick].of(hit)):
                first = tick
            if tick < ticks:
                run.go_on()
        rounds = list(run.rounds())
        closed = run.gates.or_([same for _, same in rounds])
        hits = run.gates.or_([one.of(hit) for one in run.encoders[:-1]])
        sure = first is not None and (system.allowed is system.pool.yes or run.can(hits, closed))
        waiting = [one.of(question.waiting) for one in run.encoders]
        turns = [run.gates.and_([same, *waiting[tick:-1]]) for tick, same in rounds]
        waits = question.waiting is not system.pool.no and run.can(run.gates.or_(turns))
        return Found(first, sure, waits)
