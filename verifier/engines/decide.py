"""From a question to an answer: which targets are looked for, and what each piece of evidence says.

Every piece of evidence goes past the judge first (engines/search.py); nothing else makes an answer.
"""

import time
from contextlib import suppress
from dataclasses import dataclass, field, replace

from verifier.engines.contract import Budget, Task
from verifier.engines.crew import Cores
from verifier.engines.margin import margins
from verifier.engines.search import Effort, Found, Search, Sought
from verifier.engines.sure import sure
from verifier.logic.judge import Case, judge
from verifier.logic.native import WANT, told
from verifier.logic.recheck import certified
from verifier.system.expr import Node
from verifier.system.model import Form, Question, System
from verifier.verdict import rules
from verifier.verdict.answer import Emptiness, Outcome, Reach, Verdict
from verifier.verdict.evidence import Asked, Proof, Reaches
from verifier.verdict.ruling import Finding, together

__all__ = ["Decider", "Effort"]

TESTING = 0.25
"""Part of the effort for finding out whether a claim is ever put to the test: its answer stands."""

LEAST_HORIZON = 10_000_000_000
"""Nanoseconds: so long at least runs are followed where no proof for ever is found."""


@dataclass(frozen=True, slots=True, eq=False)
class Decider:
    """Answers the questions of one system; `cores` are those that may be free for it to use.

    `worst`: whether to say how near a claim comes to its number, too.
    """

    system: System
    effort: Effort
    cores: Cores | None = None
    worst: bool = True

    def decide(self, question: Question) -> Outcome:
        """Return the answer to a question; never raises for want of time, memory or luck."""
        start = time.monotonic()
        try:
            outcome = Decision(self, question).outcome()
        except WANT as want:
            outcome = Outcome(Verdict.UNKNOWN, reason=told(want))
        return replace(outcome, seconds=time.monotonic() - start)


@dataclass(slots=True, eq=False)
class Decision:
    """One question on its way to an answer; `sought` is what was looked for, in order."""

    decider: Decider
    question: Question
    sought: list[tuple[Asked, Sought]] = field(default_factory=list)

    @property
    def system(self) -> System:
        """The system asked about."""
        return self.decider.system

    def outcome(self) -> Outcome:
        """Return the answer."""
        outcome = self._accepted(self._by_form())
        if outcome.verdict is not Verdict.FAILS and self.question.form is not Form.REACH:
            outcome = replace(outcome, empty=self._emptiness())
        outcome = replace(outcome, effort=sum(sought.used for _, sought in self.sought))
        if not self.decider.worst:
            return outcome
        told = margins(self.system, self.question, outcome, self.decider.effort)
        known = (*outcome.margins, *told.margins)
        return replace(outcome, margins=known, effort=outcome.effort + told.used)

    def _accepted(self, outcome: Outcome) -> Outcome:
        """Say who accepted the proofs of an answer, and write them down where that is wished."""
        if outcome.verdict is Verdict.UNKNOWN:
            return outcome
        # What fails does so by what was looked for last.
        needed = self.sought[-1:] if outcome.verdict is Verdict.FAILS else self.sought
        shown = [(asked, *search.proof) for asked, search in needed if search.proof is not None]
        outcome = replace(outcome, by=together(*(ruling for _, _, ruling in shown)).by)
        effort = self.decider.effort
        if not effort.certificates:
            return outcome
        proofs = [Proof(asked, evidence) for asked, evidence, _ in shown]
        try:
            text, ruling = certified(
                self.system, self.question, proofs, effort.judge, outcome.verdict
            )
        except MemoryError:
            # What was accepted stands; it is not written down.
            return outcome
        match ruling.finding:
            case Finding.SOUND:
                return replace(outcome, certificate=text, by=ruling.by)
            case Finding.UNSURE:
                return outcome
            case _:
                return Outcome(Verdict.UNKNOWN, reason=ruling.words, fault=True)

    def _search(self, asked: Asked, target: Node, horizon: int | None) -> Sought:
        decider, effort = self.decider, self.decider.effort
        if asked is Asked.TRIGGER:
            effort = replace(effort, seconds=effort.seconds * TESTING)
        search = Search(
            decider.system, effort, decider.cores, self.question, asked, target, horizon
        )
        sought = search.run()
        self.sought.append((asked, sought))
        return sought

    def _by_form(self) -> Outcome:
        match self.question.form:
            case Form.AVOID:
                return self._avoid()
            case Form.REACH:
                return self._reach()
            case Form.AGAIN:
                bad = self._avoid()
                return bad if bad.verdict is Verdict.FAILS else self._again(bad)
            case _:
                return self._open()

    # --- forms ---------------------------------------------------------------------------------

    def _avoid(self) -> Outcome:
        search = self._search(Asked.BAD, self.question.bad, self._horizon())
        return self._said(Asked.BAD, search) or self._so_far(search)

    def _said(self, asked: Asked, search: Sought) -> Outcome | None:
        """Return what was found says; None where nothing was."""
        found = search.found
        if found is None:
            return None
        outcome = rules.said(self.system, self.question, asked, found.evidence, found.seen)
        return replace(outcome, engine=found.engine)

    def _so_far(self, search: Sought) -> Outcome:
        until = search.partial.until if search.partial else None
        if until is not None and self.question.form is not Form.REACH and until >= self._enough():
            return Outcome(Verdict.HOLDS, Reach.UP_TO, until, engine=search.engine)
        reason = search.why
        if self.question.form is Form.REACH:
            reason = f"no way was found, and none is ruled out; {reason}"
        return Outcome(Verdict.UNKNOWN, Reach.UP_TO, until, reason, fault=search.fault)

    def _reach(self) -> Outcome:
        search = self._search(Asked.GOAL, self.question.goal, self.question.limit)
        if search.found is not None and isinstance(search.found.evidence, Reaches):
            search = self._without_luck(search, search.found.evidence)
        return self._said(Asked.GOAL, search) or self._so_far(search)

    def _without_luck(self, search: Sought, known: Reaches) -> Sought:
        """Return what is known however spans are drawn, where that is asked; else what is known."""
        system, question, effort = self.system, self.question, self.decider.effort
        if not rules.lucky(system, question):
            return search
        case = Case.of(system, question, Asked.GOAL)
        task = Task(case.cone, question, Asked.GOAL, question.goal, question.limit, effort.seed)
        budget = Budget.of(effort.seconds, memory=effort.memory)
        with suppress(*WANT):
            for evidence in sure(task, known.trace, budget):
                ruling = judge(case, evidence, effort.judge).ruling
                if ruling.sound:
                    found = Found(evidence, "plans without luck", None, ruling)
                    search = replace(search, found=found, used=search.used + budget.used)
                    self.sought[-1] = (Asked.GOAL, search)
                    break
        return search

    def _again(self, bad: Outcome) -> Outcome:
        search = self._search(Asked.WAITING, self.question.waiting, None)
        waiting = self._said(Asked.WAITING, search) or Outcome(Verdict.UNKNOWN)
        outcome = rules.together(self.question, {Asked.BAD: bad, Asked.WAITING: waiting})
        if outcome.verdict is not Verdict.UNKNOWN:
            return outcome
        reason = "nothing forces it to come in the end, and no run was found that waits for ever"
        hint = "give it a time: `within ...`"
        return Outcome(Verdict.UNKNOWN, reason=f"{reason}; {hint}", engine=waiting.engine)

    def _open(self) -> Outcome:
        search = self._search(Asked.OPEN, self.question.goal, None)
        outcome = self._said(Asked.OPEN, search) or Outcome(Verdict.UNKNOWN)
        if outcome.verdict is not Verdict.UNKNOWN:
            return outcome
        reason = f"neither a dead end nor a way from everywhere was shown; {search.why}"
        return replace(outcome, reason=reason)

    def _emptiness(self) -> Emptiness:
        trigger = self.question.trigger
        if trigger is None or trigger is self.system.pool.yes:
            return Emptiness.TESTED
        found = self._search(Asked.TRIGGER, trigger, None).found
        match found.evidence if found else None:
            case Reaches():
                return Emptiness.TESTED
            case None:
                return Emptiness.NOT_SO_FAR
            case _:
                return Emptiness.NEVER

    def _horizon(self) -> int | None:
        """Return the last tick of interest: the person's wish, the claim's own limit, or none."""
        known = [
            one for one in (self.decider.effort.horizon, self.question.limit) if one is not None
        ]
        return min(known, default=None)

    def _enough(self) -> int:
        """Return how far a proof must go to be called one, where it does not go on for ever."""
        if self.decider.effort.horizon is not None:
            return self.decider.effort.horizon
        longest = max((clock.longest for clock in self.system.clocks), default=0)
        return max(-(-LEAST_HORIZON // self.system.design.tick_ns), 2 * longest + 1)
