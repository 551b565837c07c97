"""Solvers that fail: at the n-th query, or from the n-th query on, for each n."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from typing import Any, NoReturn
from unittest.mock import patch

from tests.faults.expected import EFFORT, misfits
from verifier.engines.decide import Decider
from verifier.logic import fixpoint, native, second
from verifier.logic.native import Result, SolverError
from verifier.system.model import Question, System
from verifier.verdict.answer import Outcome, Verdict


def _unknown() -> Result:
    return Result.UNKNOWN


def _refuses() -> NoReturn:
    raise SolverError("canceled, as a test wishes")


def _no_memory() -> NoReturn:
    raise MemoryError


ENDINGS: dict[str, Callable[[], Result]] = {
    "says unknown": _unknown,
    "raises": _refuses,
    "has no memory": _no_memory,
}

SOLVERS = {"z3": (native.Room, "check"), "cvc5": (second, "answer")}


@dataclass(frozen=True, slots=True)
class Fault:
    """A solver fails at its query number `at` (from 1 on), and after it too if it `stays` so."""

    solver: str
    ending: str
    at: int
    stays: bool

    def comes(self, solver: str, number: int) -> bool:
        """Whether a solver fails at its query of this number."""
        return solver == self.solver and (number == self.at or (self.stays and number > self.at))

    def __str__(self) -> str:
        """Say it in words."""
        return f"{self.solver} {self.ending} {'from' if self.stays else 'at'} query {self.at}"


@dataclass(slots=True)
class Queries:
    """How many queries each solver was asked, and how many of them were made to fail."""

    asked: dict[str, int] = field(default_factory=lambda: dict.fromkeys(SOLVERS, 0))
    failed: int = 0


@contextmanager
def counted(fault: Fault | None) -> Iterator[Queries]:
    """Count the queries in this process, and let some of them fail."""
    queries = Queries()

    def wrapped(solver: str, ask: Callable[..., Result]) -> Callable[..., Result]:
        def asked(*given: Any, **named: Any) -> Result:  # noqa: ANN401 - whatever is asked
            queries.asked[solver] += 1
            number = queries.asked[solver]
            if fault is not None and fault.comes(solver, number):
                queries.failed += 1
                return ENDINGS[fault.ending]()
            return ask(*given, **named)

        return asked

    with ExitStack() as stack:
        places = [*SOLVERS.items(), ("z3", (fixpoint.Rules, "solve"))]
        for solver, (owner, name) in places:
            new = wrapped(solver, getattr(owner, name))
            stack.enter_context(patch.object(owner, name, new))
        yield queries


@dataclass(frozen=True, slots=True)
class Known:
    """A claim, the answer to it when nothing fails, and how many queries that takes."""

    system: System
    question: Question
    outcome: Outcome
    queries: dict[str, int]

    def faults(self) -> Iterator[Fault]:
        """Yield each fault that can come to it."""
        for solver, count in self.queries.items():
            for at in range(1, count + 1):
                for ending in ENDINGS:
                    yield Fault(solver, ending, at, stays=False)
                    yield Fault(solver, ending, at, stays=True)


def known(system: System) -> Iterator[Known]:
    """Answer the claims of a design; leave out what is not known even so."""
    for question in system.questions:
        with counted(None) as queries:
            outcome = Decider(system, EFFORT).decide(question)
        if outcome.verdict is not Verdict.UNKNOWN:
            yield Known(system, question, outcome, queries.asked)


def tried(one: Known, fault: Fault) -> tuple[list[str], bool, Outcome]:
    """Return what is wrong with the answer under a fault, whether it came to it, and the answer."""
    with counted(fault) as queries:
        found = Decider(one.system, EFFORT).decide(one.question)
    silent = (fault.solver,) if fault.stays and fault.at == 1 else ()
    return list(misfits(one.outcome, found, silent)), queries.failed > 0, found
