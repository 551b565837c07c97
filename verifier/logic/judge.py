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
from verifier.system.model import Cone, System
from verifier.system.state import State, only, start_of
from verifier.verdict.evidence import (
    Circles,
    Closed,
    Evidence,
    Explored,
    Guided,
    Invariant,
    Patient,
    Reaches,
    Trapped,
)
from verifier.verdict.explored import Shows, judge_explored
from verifier.verdict.replay import Seen, follow, replay, replay_lasso
from verifier.verdict.ruling import SOUND, Ruling, unsure, wrong
from verifier.verdict.variant import Variant, begun_at, guided, patience


@dataclass(frozen=True, slots=True)
class Case:
    """What evidence is said to show: of which system, which target, from where.

    `shows` is what a list of states has to show.
    """

    system: System
    target: Node
    anywhere: bool
    shows: Shows = Shows.NEVER

    @property
    def cone(self) -> Cone:
        """The cone of the target; from anywhere, of all that is kept."""
        roots = [self.target, self.system.domain] if self.anywhere else [self.target]
        return cone(self.system, roots)


@dataclass(frozen=True, slots=True)
class Judged:
    """A ruling, with what was met on the way: the state after a run, what an endless run shows."""

    ruling: Ruling
    after: State | None = None
    seen: Seen | None = None


def judge(case: Case, evidence: Evidence, limits: Limits) -> Judged:
    """Return whether the evidence is what it is said to be.

    `Reaches`: a run that meets the target. `Closed`, `Invariant`: none does. `Explored`: what
    `case.shows` says. `Circles`: a run of the system, `seen` tells what is in it. `Trapped`: a run
    after which the target cannot come. `Guided`: the target can come from wherever runs lead.
    `Patient`: no run has it for longer.
    """
    match evidence:
        case Reaches(trace):
            replayed = replay(case.system, trace, case.target, anywhere=case.anywhere)
            return Judged(replayed.ruling, after=replayed.after)
        case Circles(lasso):
            ruling, seen = replay_lasso(case.cone, lasso, case.target, anywhere=case.anywhere)
            return Judged(ruling, seen=seen)
        case Invariant(_, ticks) if ticks != 1:
            return Judged(unsure("proofs over several ticks are not judged yet"))
        case Invariant(node):
            return Judged(_judge_node(case, Variant(case.system, case.target), node, limits))
        case Closed():
            return Judged(judge_closed(case, evidence, limits))
        case Explored():
            return Judged(_judge_list(case, evidence, case.shows, start_of(case.system)))
        case Trapped(trace, inside):
            replayed = follow(case.system, trace)
            if replayed.after is None:
                return Judged(replayed.ruling)
            return Judged(_judge_inside(case, inside, replayed.after, limits), replayed.after)
        case Guided(script, within, node):
            variant = guided(case.system, case.target, script, within)
            return Judged(_judge_node(case, variant, node, limits))
        case Patient(ticks, node):
            variant = patience(case.system, case.target, ticks)
            return Judged(_judge_node(case, variant, node, limits))
        case _:
            assert_never(evidence)


def _judge_node(case: Case, variant: Variant, node: Node, limits: Limits) -> Ruling:
    system, target = variant.system, variant.target
    return judge_invariant(system, node, target, limits, anywhere=case.anywhere)


def _judge_inside(case: Case, inside: Explored | Invariant, after: State, limits: Limits) -> Ruling:
    """Return whether the goal is out of reach from a state."""
    match inside:
        case Explored():
            return _judge_list(case, inside, Shows.NEVER, after)
        case Invariant(node):
            begun = begun_at(case.system, after)
            return judge_invariant(begun, node, case.target, limits, anywhere=False)


def _judge_list(case: Case, explored: Explored, shows: Shows, start: State) -> Ruling:
    if case.anywhere:
        return unsure("a list of states speaks only of runs from the start values")
    part = case.cone
    return judge_explored(part, case.target, explored, shows, only(part, start))


def judge_closed(case: Case, closed: Closed, limits: Limits) -> Ruling:
    """Return whether so many jumps cover all runs up to the tick, and none meets the target."""
    part = case.cone
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
