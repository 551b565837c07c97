"""From a question to an answer: which targets are looked for, and what each piece of evidence says.

Every piece of evidence goes past the judge first (`search`); nothing else makes an answer.
"""

import time
from dataclasses import dataclass, field, replace

from verifier.engines.bounded import Bounded
from verifier.engines.contract import Asked, Budget, Task
from verifier.engines.portfolio import ENGINES, Turn
from verifier.engines.ways import proof_of_never
from verifier.logic.judge import Case, judge
from verifier.logic.tick import Limits
from verifier.simulate.machine import closed
from verifier.simulate.onward import Way, completed, way_on
from verifier.system.cone import cone
from verifier.system.expr import Node
from verifier.system.model import Form, Question, System
from verifier.system.state import State, start_of
from verifier.verdict.answer import Emptiness, Outcome, Reach, Verdict
from verifier.verdict.evidence import (
    Circles,
    Closed,
    Evidence,
    Explored,
    Guided,
    Invariant,
    Reaches,
    Stopped,
    Trapped,
    Why,
)
from verifier.verdict.explored import Shows
from verifier.verdict.replay import Seen, replay_onward
from verifier.verdict.ruling import SOUND, Finding, Ruling, unsure
from verifier.verdict.trace import Lasso
from verifier.verdict.variant import before

JUDGE = Limits(steps=60_000_000, seconds=60.0)
"""What the judge may spend on one query."""

SHORTEN = 0.06
"""Part of the effort spent on showing that no earlier failure exists."""

LEAST_HORIZON = 10_000_000_000
"""Nanoseconds: so long at least runs are followed where no proof for ever is found."""


@dataclass(frozen=True, slots=True)
class Effort:
    """How hard to try one claim: nominal seconds, megabytes, a seed, and a horizon in ticks."""

    seconds: float = 2.0
    memory: int = 4096
    seed: int = 0
    horizon: int | None = None


@dataclass(frozen=True, slots=True)
class Found:
    """Evidence that the judge accepts, with the engine that handed it in."""

    evidence: Evidence
    engine: str
    seen: Seen | None = None


@dataclass(slots=True)
class Search:
    """What came of looking for one target."""

    found: Found | None = None
    partial: Closed | None = None
    engine: str = ""
    notes: list[str] = field(default_factory=list)
    fault: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Decider:
    """Answers the questions of one system."""

    system: System
    effort: Effort

    def decide(self, question: Question) -> Outcome:
        """Return the answer to a question; never raises for want of time, memory or luck."""
        start = time.monotonic()
        outcome = self._by_form(question)
        if outcome.verdict is not Verdict.FAILS and question.form is not Form.REACH:
            outcome = replace(outcome, empty=self._emptiness(question))
        return replace(outcome, seconds=time.monotonic() - start)

    def _by_form(self, question: Question) -> Outcome:
        match question.form:
            case Form.AVOID:
                return self._avoid(question)
            case Form.REACH:
                return self._reach(question)
            case Form.AGAIN:
                bad = self._avoid(question)
                return bad if bad.verdict is Verdict.FAILS else self._again(question, bad)
            case _:
                return self._open(question)

    # --- forms ---------------------------------------------------------------------------------

    def _avoid(self, question: Question) -> Outcome:
        horizon = self._horizon(question)
        search = self._search(question, Asked.BAD, question.bad, horizon)
        if search.found is None:
            return self._so_far(question, search)
        found = search.found
        match found.evidence:
            case Reaches(trace, earliest):
                return Outcome(
                    Verdict.FAILS,
                    Reach.FOREVER,
                    trace=trace,
                    engine=found.engine,
                    earliest=earliest,
                )
            case Closed(until) if until is not None and not _covers(question, until):
                return Outcome(Verdict.HOLDS, Reach.UP_TO, until, engine=found.engine)
            case _:
                return Outcome(Verdict.HOLDS, Reach.FOREVER, engine=found.engine)

    def _so_far(self, question: Question, search: Search) -> Outcome:
        until = search.partial.until if search.partial else None
        if until is not None and question.form is not Form.REACH and until >= self._enough():
            return Outcome(Verdict.HOLDS, Reach.UP_TO, until, engine=search.engine)
        reason = _reason(search)
        if question.form is Form.REACH:
            reason = f"no way was found, and none is ruled out; {reason}"
        return Outcome(
            Verdict.UNKNOWN, Reach.UP_TO, until, reason, fault=search.fault, engine=_names(search)
        )

    def _reach(self, question: Question) -> Outcome:
        search = self._search(question, Asked.GOAL, question.goal, question.limit)
        if search.found is None:
            return self._so_far(question, search)
        found = search.found
        match found.evidence:
            case Reaches(trace, earliest):
                if question.whatever and self._ranged(question.goal):
                    reason = "a way was found, but not one that serves whatever spans are drawn"
                    return Outcome(Verdict.UNKNOWN, reason=reason, engine=found.engine)
                return Outcome(
                    Verdict.HOLDS,
                    Reach.FOREVER,
                    trace=trace,
                    engine=found.engine,
                    earliest=earliest,
                )
            case Closed(until) if until is not None and not _covers(question, until):
                return Outcome(Verdict.UNKNOWN, Reach.UP_TO, until, "no way was found so far")
            case _:
                reason = "no choices lead there"
                return Outcome(Verdict.FAILS, Reach.FOREVER, reason=reason, engine=found.engine)

    def _again(self, question: Question, bad: Outcome) -> Outcome:
        search = self._search(question, Asked.WAITING, question.waiting, None)
        found = search.found
        match found.evidence if found else None:
            case Circles(lasso) if found and found.seen and found.seen.always_in_loop:
                return Outcome(Verdict.FAILS, Reach.FOREVER, lasso=lasso, engine=found.engine)
            case _:
                pass
        if found is not None and bad.verdict is Verdict.HOLDS and bad.reach is Reach.FOREVER:
            return Outcome(Verdict.HOLDS, Reach.FOREVER, engine=found.engine)
        reason = "nothing forces it to come in the end, and no run was found that waits for ever"
        hint = "give it a time: `within ...`"
        return Outcome(Verdict.UNKNOWN, reason=f"{reason}; {hint}", engine=_names(search))

    def _open(self, question: Question) -> Outcome:
        search = self._search(question, Asked.OPEN, question.goal, None)
        found = search.found
        limit = question.limit
        match found.evidence if found else None:
            case Explored(states):
                longest = max(states.values(), default=0)
                if limit is None or longest <= limit:
                    return Outcome(Verdict.HOLDS, Reach.FOREVER, engine=_names(search))
                reason = f"from some state it is {longest} ticks away at the least"
                return Outcome(Verdict.FAILS, Reach.FOREVER, reason=reason, engine=_names(search))
            case Guided(within=within) if limit is None or within <= limit:
                return Outcome(Verdict.HOLDS, Reach.FOREVER, engine=_names(search))
            case Trapped(trace):
                reason = "after this it can no longer come"
                return Outcome(
                    Verdict.FAILS, Reach.FOREVER, reason=reason, trace=trace, engine=_names(search)
                )
            case Circles(lasso) if found is not None and found.seen is not None:
                gap = found.seen.longest_gap
                if gap is not None and (limit is None or gap <= limit):
                    return Outcome(Verdict.HOLDS, Reach.FOREVER, engine=_names(search))
                return Outcome(Verdict.FAILS, Reach.FOREVER, lasso=lasso, engine=_names(search))
            case _:
                reason = (
                    f"neither a dead end nor a way from everywhere was shown; {_reason(search)}"
                )
                return Outcome(Verdict.UNKNOWN, reason=reason, engine=_names(search))

    def _emptiness(self, question: Question) -> Emptiness:
        trigger = question.trigger
        if trigger is None or trigger is self.system.pool.yes:
            return Emptiness.TESTED
        found = self._search(question, Asked.TRIGGER, trigger, None).found
        match found.evidence if found else None:
            case Reaches():
                return Emptiness.TESTED
            case None:
                return Emptiness.NOT_SO_FAR
            case _:
                return Emptiness.NEVER

    def _horizon(self, question: Question) -> int | None:
        """Return the last tick of interest: the person's wish, the claim's own limit, or none."""
        known = [one for one in (self.effort.horizon, question.limit) if one is not None]
        return min(known, default=None)

    def _enough(self) -> int:
        """Return how far a proof must go to be called one, where it does not go on for ever."""
        if self.effort.horizon is not None:
            return self.effort.horizon
        longest = max((clock.longest for clock in self.system.clocks), default=0)
        return max(-(-LEAST_HORIZON // self.system.design.tick_ns), 2 * longest + 1)

    def _ranged(self, node: Node) -> bool:
        part = cone(self.system, [node])
        return any(self.system.clocks[index].ranged for index in part.clocks)

    # --- looking for one target -------------------------------------------------------------------

    def _search(
        self, question: Question, asked: Asked, target: Node, horizon: int | None
    ) -> Search:
        """Let the engines look for a target in turn, until the judge accepts what one hands in."""
        roots = [target, self.system.domain] if question.anywhere else [target]
        part = cone(self.system, roots)
        task = Task(part, question, asked, target, horizon, self.effort.seed)
        case = Case(self.system, target, question.anywhere, _SHOWS.get(asked, Shows.NEVER))
        budget = Budget.of(self.effort.seconds, memory=self.effort.memory)
        search = Search()
        for turn in ENGINES:
            if budget.spent():
                search.notes.append("the effort was used up")
                break
            if self._turn(turn, task, case, budget, search):
                break
        return search

    def _turn(self, turn: Turn, task: Task, case: Case, budget: Budget, search: Search) -> bool:
        """Give one engine its turn; return whether it settled the matter."""
        part = budget.slice(self.effort.seconds * turn.share)
        evidence = turn.engine.run(task, part)
        budget.use(part.used)
        if isinstance(evidence, Stopped):
            if evidence.why is not Why.NOT_SUITED:
                search.notes.append(f"{turn.engine.name}: {evidence.words}")
            return False
        evidence = self._whole(evidence)
        ruling, seen = self._judged(task, case, evidence)
        if ruling.finding is not Finding.SOUND:
            search.notes.append(f"{turn.engine.name}: {ruling.words}")
            search.fault = search.fault or ruling.finding is Finding.WRONG
            return False
        if isinstance(evidence, Closed) and _short(evidence, task.horizon):
            search.partial, search.engine = evidence, turn.engine.name
            return False
        if isinstance(evidence, Reaches) and task.asked is not Asked.TRIGGER:
            evidence = self._earliest(task, case, evidence, budget)
        search.found = Found(evidence, turn.engine.name, seen)
        return True

    def _whole(self, evidence: Evidence) -> Evidence:
        """Return a run of the cone as one of the whole system; all else as it is."""
        match evidence:
            case Reaches(trace) | Trapped(trace):
                return replace(evidence, trace=completed(self.system, trace))
            case Circles(Lasso(trace, back_to)):
                return Circles(Lasso(completed(self.system, trace), back_to))
            case _:
                return evidence

    def _judged(self, task: Task, case: Case, evidence: Evidence) -> tuple[Ruling, Seen | None]:
        judged = judge(case, evidence, JUDGE)
        if not judged.ruling.sound:
            return judged.ruling, judged.seen
        match evidence:
            case Circles():
                return self._fits(task, judged.seen), judged.seen
            case Reaches() | Trapped() if self.system.allowed is not self.system.pool.yes:
                return self._goes_on(judged.after), None
            case _:
                pass
        return SOUND, None

    def _goes_on(self, after: State | None) -> Ruling:
        """Return whether a run that came to a state goes on for ever within the assumptions."""
        way, lasso = way_on(self.system, after)
        match way:
            case Way.FOUND if lasso is not None:
                return replay_onward(self.system, after or start_of(self.system), lasso)
            case Way.NONE:
                return unsure("the run found cannot go on within the assumptions")
            case _:
                return unsure("the run found may not go on within the assumptions")

    def _fits(self, task: Task, seen: Seen | None) -> Ruling:
        """Return whether an endless run says anything about what is asked."""
        only = closed(task.cone) and not task.question.anywhere
        waits = task.asked is Asked.WAITING and seen is not None and seen.always_in_loop
        if waits or (only and (task.asked in (Asked.WAITING, Asked.OPEN) or not _met(seen))):
            return SOUND
        return unsure("the endless run does not settle it")

    def _earliest(self, task: Task, case: Case, known: Reaches, budget: Budget) -> Reaches:
        """Look for an earlier run, or for a proof of "none sooner" that the judge accepts.

        What an engine says of its own run is not enough.
        """
        last = known.trace.length - 2
        only = closed(task.cone) and not task.question.anywhere
        if last < 0 or only or self._none_by(last, task, case, budget):
            return replace(known, earliest=True)
        part = budget.slice(self.effort.seconds * SHORTEN)
        evidence = Bounded(share=0.0).run(replace(task, horizon=last), part)
        budget.use(part.used)
        match evidence:
            case Closed(until) if until is None or until >= last:
                return replace(known, earliest=judge(case, evidence, JUDGE).ruling.sound)
            case Reaches(trace):
                better = Reaches(completed(self.system, trace))
                if self._judged(task, case, better)[0].sound:
                    sooner = better.trace.length - 2
                    proved = sooner < 0 or self._none_by(sooner, task, case, budget)
                    return replace(better, earliest=proved)
            case _:
                pass
        return replace(known, earliest=False)

    def _none_by(self, last: int, task: Task, case: Case, budget: Budget) -> bool:
        """Return whether zones prove, and the judge agrees, that no run gets there so soon."""
        variant = before(self.system, case.target, last)
        part = budget.slice(self.effort.seconds * SHORTEN)
        node = proof_of_never(task, variant.system, variant.target, part, anywhere=case.anywhere)
        budget.use(part.used)
        if node is None:
            return False
        sooner = Case(variant.system, variant.target, case.anywhere)
        return judge(sooner, Invariant(node), JUDGE).ruling.sound


_SHOWS = {Asked.OPEN: Shows.CAN_COME, Asked.WAITING: Shows.MUST_COME}


def _met(seen: Seen | None) -> bool:
    return seen is not None and seen.first is not None


def _short(closed_: Closed, horizon: int | None) -> bool:
    """Whether a bounded proof ends before the horizon."""
    return closed_.until is not None and (horizon is None or closed_.until < horizon)


def _covers(question: Question, until: int) -> bool:
    """Whether nothing of the question is left after a tick."""
    return question.limit is not None and until >= question.limit


def _reason(search: Search) -> str:
    return "; ".join(search.notes) or "no engine could settle it"


def _names(search: Search) -> str:
    return search.found.engine if search.found else ""
