"""The judge: looks at what engines hand in, and trusts none of them.

A run is replayed tick by tick in the reference simulator over the whole system. An invariant is
asked about in three queries on single ticks. A bounded proof is asked once more in a fresh solver
of another kind.
"""

from dataclasses import dataclass, replace
from typing import assert_never

from verifier.logic import second
from verifier.logic.jumps import Unrolling
from verifier.logic.native import WANT, Result, Room, Term, told
from verifier.logic.terms import Terms
from verifier.logic.tick import Limits, judge_invariant
from verifier.system.cone import closed, cone
from verifier.system.expr import Node
from verifier.system.model import Cone, Question, System
from verifier.system.starts import Starts
from verifier.system.state import State, only
from verifier.verdict.evidence import (
    Asked,
    Certain,
    Circles,
    Closed,
    Evidence,
    Explored,
    Foiled,
    Guided,
    Invariant,
    Patient,
    Reaches,
    Trapped,
)
from verifier.verdict.explored import Shows, judge_explored
from verifier.verdict.replay import Seen, follow, replay, replay_lasso, replay_onward
from verifier.verdict.rules import shows_of, spans_differ, target_of
from verifier.verdict.ruling import BOTH, SOLVER, SOUND, Ruling, sound, together, unsure, wrong
from verifier.verdict.trace import Lasso
from verifier.verdict.variant import (
    Variant,
    acts_of,
    before,
    begun_at,
    certain,
    drawn,
    guided,
    misfit,
    patience,
)

MOST_JUMPS = 2_000
"""A bounded proof of more jumps than this is not looked at."""


@dataclass(frozen=True, slots=True)
class Case:
    """What evidence is said to show: of which system, which target, from where.

    `shows` is what a list of states has to show.
    """

    system: System
    target: Node
    anywhere: bool
    shows: Shows = Shows.NEVER

    @classmethod
    def of(cls, system: System, question: Question, asked: Asked) -> "Case":
        """Return what evidence for a question has to show."""
        return cls(system, target_of(question, asked), question.anywhere, shows_of(asked))

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
    after which the target cannot come, or not so soon. `Guided`: the target can come from wherever
    runs lead. `Patient`: no run has it for longer. `Certain`: its choices meet the target however
    spans are drawn. `Foiled`: none do while spans are drawn at one end.
    Where memory or the solver is wanting, nothing is said of it.
    """
    try:
        return _judge(case, evidence, limits)
    except WANT as want:
        return Judged(unsure(f"it could not be judged: {told(want)}"))


def _judge(case: Case, evidence: Evidence, limits: Limits) -> Judged:
    match evidence:
        case Reaches(trace):
            replayed = replay(case.system, trace, case.target, anywhere=case.anywhere)
            return Judged(replayed.ruling, after=replayed.after)
        case Circles(lasso):
            ruling, seen = replay_lasso(case.cone, lasso, case.target, anywhere=case.anywhere)
            return Judged(ruling, seen=seen)
        case Invariant():
            return Judged(_judge_node(case, Variant(case.system, case.target), evidence, limits))
        case Closed():
            return Judged(judge_closed(case, evidence, limits))
        case Explored():
            return Judged(_judge_list(case, evidence))
        case Trapped():
            return _judge_trap(case, evidence, limits)
        case Certain():
            return _judge_certain(case, evidence, limits)
        case Guided() | Patient() | Foiled():
            return Judged(_judge_variant(case, evidence, limits))
        case _:
            assert_never(evidence)


def settled(case: Case, asked: Asked, evidence: Evidence, judged: Judged) -> Ruling:
    """Return whether judged evidence says anything about what is asked.

    A run has to go on for ever within the assumptions. An endless run has to wait for ever, or be
    the only one there is.
    """
    if not judged.ruling.sound:
        return judged.ruling
    match evidence:
        case Circles():
            return _endless(case, asked, judged)
        case Reaches(_, _, onward) | Trapped(_, _, onward):
            return together(judged.ruling, _goes_on(case.system, judged.after, onward))
        case _:
            return judged.ruling


def _endless(case: Case, asked: Asked, judged: Judged) -> Ruling:
    seen = judged.seen
    if asked is Asked.WAITING and seen is not None and seen.always_in_loop:
        return judged.ruling
    only_one = closed(case.cone) and not case.anywhere
    met = seen is not None and seen.first is not None
    if only_one and (asked in (Asked.WAITING, Asked.OPEN) or not met):
        return judged.ruling
    return unsure("the endless run does not settle it")


def _goes_on(system: System, after: State | None, onward: Lasso | None) -> Ruling:
    if system.allowed is system.pool.yes:
        return SOUND
    if onward is None or after is None:
        return unsure("the run found may not go on within the assumptions")
    return replay_onward(system, after, onward)


def _judge_trap(case: Case, trapped: Trapped, limits: Limits) -> Judged:
    replayed = follow(case.system, trapped.trace, anywhere=case.anywhere)
    if replayed.after is None:
        return Judged(replayed.ruling)
    nothing = _judge_inside(case, trapped, replayed.after, limits)
    return Judged(together(replayed.ruling, nothing), replayed.after)


def _judge_plan(case: Case, plan: Guided, limits: Limits) -> Ruling:
    fault = misfit(case.system, plan.script)
    if fault:
        return wrong(fault)
    variant = guided(case.system, case.target, plan.script, plan.within)
    return _judge_node(case, variant, Invariant(plan.node), limits)


def _judge_variant(case: Case, evidence: Guided | Patient | Foiled, limits: Limits) -> Ruling:
    """Return whether an invariant of the system with something more in it shows what it should."""
    match evidence:
        case Guided():
            return _judge_plan(case, evidence, limits)
        case Patient(ticks, node):
            variant = patience(case.system, case.target, ticks)
            return _judge_node(case, variant, Invariant(node), limits)
        case Foiled():
            return _judge_foiled(case, evidence, limits)
        case _:
            assert_never(evidence)


def _judge_certain(case: Case, way: Certain, limits: Limits) -> Judged:
    """Return whether the choices serve from where the run begins; from anywhere, one will do."""
    trace = way.trace
    replayed = replay(case.system, trace, case.target, anywhere=case.anywhere)
    begun = case.system if trace.start is None else begun_at(case.system, trace.start)
    variant = certain(begun, case.target, acts_of(trace), way.within)
    serves = judge_invariant(variant.system, way.node, variant.target, limits, anywhere=False)
    return Judged(together(replayed.ruling, serves), replayed.after)


def _judge_foiled(case: Case, foiled: Foiled, limits: Limits) -> Ruling:
    if spans_differ(case.system, case.system.allowed):
        return unsure("assumptions may leave out the runs in which spans come out so")
    system = drawn(case.system, longest=foiled.longest)
    return _judge_node(case, Variant(system, case.target), Invariant(foiled.node), limits)


def _judge_node(case: Case, variant: Variant, invariant: Invariant, limits: Limits) -> Ruling:
    node, ticks, anywhere = invariant.node, invariant.ticks, case.anywhere
    return judge_invariant(
        variant.system, node, variant.target, limits, anywhere=anywhere, ticks=ticks
    )


def _judge_inside(case: Case, trapped: Trapped, after: State, limits: Limits) -> Ruling:
    """Return whether the goal is out of reach from a state, for ever or for as long as said."""
    inside, beyond = trapped.inside, trapped.beyond
    if isinstance(inside, Invariant):
        begun, target = begun_at(case.system, after), case.target
        if beyond is not None:
            aged = before(begun, target, beyond)
            begun, target = aged.system, aged.target
        ticks = inside.ticks
        return judge_invariant(begun, inside.node, target, limits, anywhere=False, ticks=ticks)
    here = only(case.cone, after)
    if beyond is None:
        return judge_explored(case.cone, case.target, inside, Shows.NEVER, [here])
    if inside.states.get(here) != beyond + 1:
        return wrong("the run does not end so far away")
    return _judge_list(replace(case, shows=Shows.CAN_COME), inside)


def _judge_list(case: Case, explored: Explored) -> Ruling:
    part = case.cone
    begins = Starts.of(part, anywhere=case.anywhere).all(len(explored.states) + len(explored.dead))
    if begins is None:
        return wrong("the list of states lacks a start")
    return judge_explored(part, case.target, explored, case.shows, begins)


def judge_closed(case: Case, bounded: Closed, limits: Limits) -> Ruling:
    """Return whether so many jumps cover all runs up to the tick, and none meets the target."""
    if not 0 <= bounded.jumps <= MOST_JUMPS:
        return unsure("the bounded proof has too many jumps to be looked at")

    def build(room: Terms) -> None:
        room.claim(_left_out(room, case, bounded))

    with Room(logic="", seed=1) as room:
        left_out = _left_out(room, case, bounded)
        found = room.check([left_out], steps=limits.steps, seconds=limits.seconds)
    opinion = Result.UNKNOWN
    if limits.second and found is Result.UNSAT:
        opinion = second.ask(build, limits.seconds)
    if Result.SAT in (found, opinion):
        return wrong("a second solver finds a run that the bounded proof left out")
    if found is Result.UNKNOWN:
        return unsure("a second solver could not repeat the bounded proof in time")
    return sound(BOTH if opinion is Result.UNSAT else SOLVER)


def _left_out(room: Terms, case: Case, bounded: Closed) -> Term:
    """Return: some run meets the target in time, or is longer than the jumps cover.

    What a jump claims binds only the runs that begin it. One that meets the target and then has no
    way on, or stays as it is for ever, begins no other jump and still counts.
    """
    held: list[Term] = []
    unrolling = Unrolling(room, case.cone, case.target, case.anywhere, held)
    claims = [room.and_(held)]
    for _ in range(bounded.jumps):
        held.clear()
        unrolling.extend()
        claims.append(room.and_(held))

    def in_time(jump: int) -> Term:
        return room.yes if bounded.until is None else unrolling.begins_by(jump, bounded.until)

    left_out = room.and_((claims[bounded.jumps], in_time(bounded.jumps)))
    for jump in reversed(range(bounded.jumps)):
        met = room.and_((unrolling.met(jump), in_time(jump)))
        left_out = room.and_((claims[jump], room.or_((met, left_out))))
    return left_out
