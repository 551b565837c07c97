"""What evidence that the judge accepts says of a question.

The same rules hold when evidence is found and when it is read back from a certificate: a question
is asked by looking for one target or two, and each thing found says something about it.
"""

from collections.abc import Iterable, Mapping
from typing import assert_never

from verifier.design.bounds import Measure
from verifier.system.cone import cone
from verifier.system.expr import Node
from verifier.system.model import Form, Question, System
from verifier.verdict.answer import Away, Margin, Outcome, Reach, Verdict
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
from verifier.verdict.explored import Shows
from verifier.verdict.replay import Gap, Seen
from verifier.verdict.trace import Lasso, Trace

ASKED: Mapping[Form, tuple[Asked, ...]] = {
    Form.AVOID: (Asked.BAD,),
    Form.REACH: (Asked.GOAL,),
    Form.AGAIN: (Asked.BAD, Asked.WAITING),
    Form.OPEN: (Asked.OPEN,),
}
"""What is looked for to settle a question."""


BESIDE = Outcome(Verdict.UNKNOWN, reason="what was shown is not what was asked")
"""What is said where evidence may be true, but of something else."""


def target_of(question: Question, asked: Asked) -> Node:
    """Return what is looked for."""
    match asked:
        case Asked.BAD:
            return question.bad
        case Asked.GOAL | Asked.OPEN:
            return question.goal
        case Asked.WAITING:
            return question.waiting
        case Asked.TRIGGER:
            if question.trigger is None:
                raise ValueError(f"{question.name} has no trigger")
            return question.trigger
        case _:
            assert_never(asked)


def shows_of(asked: Asked) -> Shows:
    """Return what a list of states has to show."""
    match asked:
        case Asked.OPEN:
            return Shows.CAN_COME
        case Asked.WAITING:
            return Shows.MUST_COME
        case _:
            return Shows.NEVER


def said(
    system: System, question: Question, asked: Asked, evidence: Evidence, seen: Seen | None
) -> Outcome:
    """Return what evidence for one target says; see `together` for all of a question."""
    match asked:
        case Asked.BAD:
            return _of_bad(question, evidence)
        case Asked.GOAL:
            return _of_goal(system, question, evidence)
        case Asked.WAITING:
            return _of_waiting(evidence, seen)
        case Asked.OPEN:
            return _of_open(system, question, evidence, seen)
        case Asked.TRIGGER:
            return Outcome(Verdict.UNKNOWN)
        case _:
            assert_never(asked)


def together(question: Question, found: Mapping[Asked, Outcome]) -> Outcome:
    """Return what all that was found says of a question.

    One that comes `again` fails where a half of it does, and holds where both do for ever.
    """
    halves = [found.get(asked, Outcome(Verdict.UNKNOWN)) for asked in ASKED[question.form]]
    for half in halves:
        if half.verdict is Verdict.FAILS:
            return half
    *before, last = halves
    if all(half.verdict is Verdict.HOLDS and half.reach is Reach.FOREVER for half in before):
        return last
    return Outcome(Verdict.UNKNOWN)


def _of_bad(question: Question, evidence: Evidence) -> Outcome:
    match evidence:
        case Reaches(trace, earliest):
            return Outcome(Verdict.FAILS, Reach.FOREVER, trace=trace, earliest=earliest)
        case Closed(until) if until is not None and not _covers(question, until):
            return Outcome(Verdict.HOLDS, Reach.UP_TO, until)
        case Closed() | Invariant() | Explored() | Circles():
            return Outcome(Verdict.HOLDS, Reach.FOREVER)
        case Trapped() | Guided() | Patient() | Certain() | Foiled():
            return BESIDE
        case _:
            assert_never(evidence)


def _of_goal(system: System, question: Question, evidence: Evidence) -> Outcome:
    match evidence:
        case Reaches(trace, earliest):
            if lucky(system, question):
                reason = "a way was found, but not one that serves whatever spans are drawn"
                return Outcome(Verdict.UNKNOWN, reason=reason)
            return Outcome(Verdict.HOLDS, Reach.FOREVER, trace=trace, earliest=earliest)
        case Closed(until) if until is not None and not _covers(question, until):
            return Outcome(Verdict.UNKNOWN, Reach.UP_TO, until, "no way was found so far")
        case Closed() | Invariant() | Explored() | Circles():
            return Outcome(Verdict.FAILS, Reach.FOREVER, reason="no choices lead there")
        case Certain(trace):
            reason = "these choices serve whatever spans are drawn"
            return Outcome(Verdict.HOLDS, Reach.FOREVER, trace=trace, reason=reason)
        case Foiled(longest) if question.whatever:
            which = "longest" if longest else "shortest"
            reason = f"no choices lead there while all spans come out {which}"
            return Outcome(Verdict.FAILS, Reach.FOREVER, reason=reason)
        case Trapped() | Guided() | Patient() | Foiled():
            return BESIDE
        case _:
            assert_never(evidence)


def _of_waiting(evidence: Evidence, seen: Seen | None) -> Outcome:
    match evidence:
        case Circles(lasso) if seen is not None and seen.always_in_loop:
            return Outcome(Verdict.FAILS, Reach.FOREVER, lasso=lasso)
        case Closed(None) | Invariant() | Explored() | Circles() | Patient():
            return Outcome(Verdict.HOLDS, Reach.FOREVER)
        case Closed() | Reaches() | Trapped() | Guided() | Certain() | Foiled():
            return BESIDE
        case _:
            assert_never(evidence)


def _of_open(system: System, question: Question, evidence: Evidence, seen: Seen | None) -> Outcome:
    limit = question.limit
    match evidence:
        case Explored(states):
            farthest = _farthest(states.values(), limit)
            if limit is None or farthest.value <= limit:
                return Outcome(Verdict.HOLDS, Reach.FOREVER, margins=(farthest,))
            return BESIDE
        case Guided(within=within) if limit is None or within <= limit:
            return Outcome(Verdict.HOLDS, Reach.FOREVER)
        case Trapped():
            return _of_trap(system, evidence, limit)
        case Circles(lasso) if seen is not None:
            return _of_only_run(system, lasso, seen.longest_gap, limit)
        case Guided() | Circles() | Closed() | Invariant() | Reaches() | Patient():
            return BESIDE
        case Certain() | Foiled():
            return BESIDE
        case _:
            assert_never(evidence)


def _of_trap(system: System, trapped: Trapped, limit: int | None) -> Outcome:
    trace, beyond = trapped.trace, trapped.beyond
    if beyond is None:
        reason = "after this it can no longer come"
        return Outcome(Verdict.FAILS, Reach.FOREVER, reason=reason, trace=trace)
    if limit is None or beyond < limit:
        return BESIDE
    inside = trapped.inside
    ranks = inside.states.values() if isinstance(inside, Explored) else ()
    margins = (_farthest(ranks, limit),) if ranks else ()
    return _too_far(system, trace, Away(beyond + 1, exact=bool(margins)), margins)


def _of_only_run(system: System, lasso: Lasso, gap: Gap | None, limit: int | None) -> Outcome:
    """Return what the only run says whose longest time without the goal is `gap`."""
    if gap is None:
        reason = "in the only run there is, it does not come any more from some time on"
        return Outcome(Verdict.FAILS, Reach.FOREVER, reason=reason, lasso=lasso)
    margins = (_farthest([gap.ticks], limit),)
    if limit is None or gap.ticks <= limit:
        return Outcome(Verdict.HOLDS, Reach.FOREVER, margins=margins)
    return _too_far(system, lasso.trace.first(gap.start), Away(gap.ticks, exact=True), margins)


def _too_far(system: System, trace: Trace, away: Away, margins: tuple[Margin, ...]) -> Outcome:
    """Return that what must stay possible in time is too far away after a run."""
    reason = f"after this it takes {away.words(system.design.tick_ns)}"
    return Outcome(
        Verdict.FAILS, Reach.FOREVER, reason=reason, trace=trace, away=away, margins=margins
    )


def _farthest(ranks: Iterable[int], limit: int | None) -> Margin:
    """Return how far away the goal ever is, told by all states."""
    return Margin(Measure.FARTHEST, max(ranks, default=0), limit, exact=True)


def _covers(question: Question, until: int) -> bool:
    """Whether nothing of the question is left after a tick."""
    return question.limit is not None and until >= question.limit


def lucky(system: System, question: Question) -> bool:
    """Whether a run says nothing yet, as its spans may have been drawn by luck."""
    return question.whatever and spans_differ(system, question.goal)


def spans_differ(system: System, node: Node) -> bool:
    """Whether a node, or an assumption, hangs on some span that is drawn from a range."""
    part = cone(system, [node])
    return any(system.clocks[index].ranged for index in part.clocks)
