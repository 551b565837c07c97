"""The judge: looks at what engines hand in, and trusts none of them.

A run is replayed tick by tick in the reference simulator over the whole system. An invariant is
asked about in three queries on single ticks. A bounded proof is asked once more in a fresh solver
of another kind.
"""

from dataclasses import dataclass
from typing import assert_never

from verifier.logic.jumps import Unrolling
from verifier.logic.native import Result, Room
from verifier.logic.tick import Limits, judge_invariant
from verifier.system.cone import cone
from verifier.system.expr import Node
from verifier.system.model import System
from verifier.verdict.evidence import Circles, Closed, Evidence, Invariant, Reaches
from verifier.verdict.replay import Seen, replay, replay_lasso
from verifier.verdict.ruling import SOUND, Ruling, unsure, wrong
from verifier.verdict.trace import Lasso


@dataclass(frozen=True, slots=True)
class Case:
    """What evidence is said to show: of which system, which target, from where."""

    system: System
    target: Node
    anywhere: bool


def judge(case: Case, evidence: Evidence, limits: Limits) -> Ruling:
    """Return whether the evidence shows that the target is met, or that it never is.

    `Circles` shows here only that it is a run of the system; `observe` tells what is in it.
    """
    match evidence:
        case Reaches(trace):
            return replay(case.system, trace, case.target, anywhere=case.anywhere).ruling
        case Circles(lasso):
            return observe(case, lasso)[0]
        case Invariant(node):
            return judge_invariant(case.system, node, case.target, limits, anywhere=case.anywhere)
        case Closed():
            return judge_closed(case, evidence, limits)
        case _:
            assert_never(evidence)


def observe(case: Case, lasso: Lasso) -> tuple[Ruling, Seen | None]:
    """Replay an endless run and return when it has the target."""
    return replay_lasso(case.system, lasso, case.target, anywhere=case.anywhere)


def judge_closed(case: Case, closed: Closed, limits: Limits) -> Ruling:
    """Return whether so many jumps cover all runs up to the tick, and none meets the target."""
    roots = [case.target, case.system.domain] if case.anywhere else [case.target]
    part = cone(case.system, roots)
    with Room(logic="", seed=1) as room:
        unrolling = Unrolling(room, part, case.target, case.anywhere)
        for _ in range(closed.jumps):
            unrolling.extend()
        met = []
        for jump in range(closed.jumps):
            in_time = room.yes if closed.until is None else unrolling.begins_by(jump, closed.until)
            met.append(room.and_((unrolling.met(jump), in_time)))
        beyond = room.yes
        if closed.until is not None:
            beyond = unrolling.begins_by(closed.jumps, closed.until)
        found = room.check([room.or_([*met, beyond])], steps=limits.steps, seconds=limits.seconds)
    match found:
        case Result.UNSAT:
            return SOUND
        case Result.SAT:
            return wrong("a second solver finds a run that the bounded proof left out")
        case _:
            return unsure("a second solver could not repeat the bounded proof in time")
