"""Claims looked at tick by tick by the solver cvc5, with clocks and choices as whole numbers.

It shares with the unrolling for SAT only how nodes are walked: here nothing is a row of bits.
"""

from collections.abc import Sequence

import cvc5
from cvc5 import Kind

from tests.oracles.encoding import Encoder, needed
from verifier.system.expr import Node, Op
from verifier.system.model import Clock, Question, System


class _Terms:
    """Terms of a solver joined."""

    def __init__(self, solver: cvc5.Solver) -> None:
        self.solver = solver

    def const(self, value: bool) -> cvc5.Term:
        return self.solver.mkBoolean(value)

    def not_(self, one: cvc5.Term) -> cvc5.Term:
        return one.notTerm()

    def and_(self, parts: Sequence[cvc5.Term]) -> cvc5.Term:
        return self.solver.mkTerm(Kind.AND, self.const(True), self.const(True), *parts)

    def or_(self, parts: Sequence[cvc5.Term]) -> cvc5.Term:
        return self.solver.mkTerm(Kind.OR, self.const(False), self.const(False), *parts)

    def if_(self, condition: cvc5.Term, then: cvc5.Term, other: cvc5.Term) -> cvc5.Term:
        return self.solver.mkTerm(Kind.ITE, condition, then, other)


class Ticks:
    """A system from tick 0 on; each state is a fresh set of constants, tied to the one before."""

    def __init__(self, system: System, question: Question, hit: Node) -> None:
        """Begin at tick 0."""
        self.system, self.hit = system, hit
        self.solver = cvc5.Solver(cvc5.TermManager())
        self.solver.setLogic("QF_LIA")
        self.solver.setOption("incremental", "true")
        self.terms = _Terms(self.solver)
        self.part = needed(system, [hit, system.domain] if question.anywhere else [hit])
        self.registers: dict[int, cvc5.Term] = {}
        self.clocks: dict[int, cvc5.Term] = {}
        for index in self.part.registers:
            self.registers[index] = self._start_of(index, anywhere=question.anywhere)
        for index in self.part.clocks:
            clock = system.clocks[index]
            if question.anywhere and clock.kept:
                self.clocks[index] = self._between(0, clock.longest)
            else:
                self.clocks[index] = self.solver.mkInteger(clock.start)
        self.encoder = self._look()
        if question.anywhere:
            self.solver.assertFormula(self.encoder.of(system.domain))

    def _start_of(self, index: int, *, anywhere: bool) -> cvc5.Term:
        register = self.system.registers[index]
        if anywhere and register.kept:
            return self.solver.mkConst(self.solver.getBooleanSort())
        return self.terms.const(register.start)

    def _between(self, low: int, high: int) -> cvc5.Term:
        """Return a fresh number from low to high."""
        one = self.solver.mkConst(self.solver.getIntegerSort())
        for kind, end in ((Kind.LEQ, low), (Kind.GEQ, high)):
            self.solver.assertFormula(self.solver.mkTerm(kind, self.solver.mkInteger(end), one))
        return one

    def _look(self) -> Encoder[cvc5.Term]:
        registers, clocks = dict(self.registers), dict(self.clocks)
        options = {
            index: self._between(0, len(self.system.choices[index].options) - 1)
            for index in self.part.choices
        }

        def leaf(node: Node) -> cvc5.Term:
            index = node.data[0]
            if node.op is Op.REGISTER:
                return registers[index]
            kind, one = (
                (Kind.EQUAL, options[index]) if node.op is Op.PICK else (Kind.GT, clocks[index])
            )
            return self.solver.mkTerm(kind, one, self.solver.mkInteger(node.data[1]))

        encoder = Encoder[cvc5.Term](self.terms, leaf)
        self.solver.assertFormula(encoder.of(self.system.allowed))
        return encoder

    def can_hit(self) -> bool:
        """Whether there can be a hit in the last tick."""
        return bool(self.solver.checkSatAssuming(self.encoder.of(self.hit)).isSat())

    def go_on(self) -> None:
        """Add a tick."""
        after = {
            index: self._tied(
                self.encoder.of(self.system.registers[index].next), self.solver.getBooleanSort()
            )
            for index in self.part.registers
        }
        shown = {
            index: self._tied(
                self._after(self.system.clocks[index], self.clocks[index]),
                self.solver.getIntegerSort(),
            )
            for index in self.part.clocks
        }
        self.registers, self.clocks = after, shown
        self.encoder = self._look()

    def _tied(self, value: cvc5.Term, sort: cvc5.Sort) -> cvc5.Term:
        one = self.solver.mkConst(sort)
        self.solver.assertFormula(self.solver.mkTerm(Kind.EQUAL, one, value))
        return one

    def _after(self, clock: Clock, now: cvc5.Term) -> cvc5.Term:
        zero, one = self.solver.mkInteger(0), self.solver.mkInteger(1)
        less = self.terms.if_(
            self.solver.mkTerm(Kind.GT, now, zero), self.solver.mkTerm(Kind.SUB, now, one), now
        )
        found = self.terms.if_(self.encoder.of(clock.runs), less, now)
        for load in reversed(clock.loads):
            if load.turned:
                rest = self.solver.mkTerm(Kind.SUB, self.solver.mkInteger(load.low), now)
                span = self.terms.if_(self.solver.mkTerm(Kind.GT, rest, zero), rest, zero)
            elif load.low == load.high:
                span = self.solver.mkInteger(load.low)
            else:
                span = self._between(load.low, load.high)
            found = self.terms.if_(self.encoder.of(load.when), span, found)
        return found


def first_hit(system: System, question: Question, hit: Node, ticks: int) -> int | None:
    """Return the first of the ticks 0 to `ticks` that can have a hit; None where none can."""
    run = Ticks(system, question, hit)
    for tick in range(ticks + 1):
        if run.can_hit():
            return tick
        if tick < ticks:
            run.go_on()
    return None
