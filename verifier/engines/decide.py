"""From a question to an answer: which targets are looked for, and what each piece of evidence says.

Every piece of evidence goes past the judge first (engines/search.py); nothing else makes an answer.
"""

import time
from dataclasses import dataclass, field, replace

from verifier.engines.contract import Asked
from verifier.engines.crew import Cores
from verifier.engines.search import Effort, Search, Sought
from verifier.system.cone import cone
from verifier.system.expr import Node
from verifier.system.model import Form, Question, System
from verifier.verdict.answer import Emptiness, Outcome, Reach, Verdict
from verifier.verdict.evidence import Circles, Closed, Explored, Guided, Reaches, Trapped

__all__ = ["Decider", "Effort"]

LEAST_HORIZON = 10_000_000_000
"""Nanoseconds: so long at least runs are followed where no proof for ever is found."""


@dataclass(frozen=True, slots=True, eq=False)
class Decider:
    """Answers the questions of one system; `cores` are those that may be free for it to use."""

    system: System
    effort: Effort
    cores: Cores | None = None

    def decide(self, question: Question) -> Outcome:
        """Return the answer to a question; never raises for want of time, memory or luck."""
        start = time.monotonic()
        outcome = Decision(self, question).outcome()
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
        outcome = self._by_form()
        if outcome.verdict is not Verdict.FAILS and self.question.form is not Form.REACH:
            outcome = replace(outcome, empty=self._emptiness())
        return replace(outcome, effort=sum(sought.used for _, sought in self.sought))

    def _search(self, asked: Asked, target: Node, horizon: int | None) -> Sought:
        decider = self.decider
        search = Search(
            decider.system, decider.effort, decider.cores, self.question, asked, target, horizon
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
        horizon = self._horizon()
        search = self._search(Asked.BAD, self.question.bad, horizon)
        if search.found is None:
            return self._so_far(search)
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
            case Closed(until) if until is not None and not _covers(self.question, until):
                return Outcome(Verdict.HOLDS, Reach.UP_TO, until, engine=found.engine)
            case _:
                return Outcome(Verdict.HOLDS, Reach.FOREVER, engine=found.engine)

    def _so_far(self, search: Sought) -> Outcome:
        until = search.partial.until if search.partial else None
        if until is not None and self.question.form is not Form.REACH and until >= self._enough():
            return Outcome(Verdict.HOLDS, Reach.UP_TO, until, engine=search.engine)
        reason = search.why
        if self.question.form is Form.REACH:
            reason = f"no way was found, and none is ruled out; {reason}"
        return Outcome(
            Verdict.UNKNOWN, Reach.UP_TO, until, reason, fault=search.fault, engine=_names(search)
        )

    def _reach(self) -> Outcome:
        search = self._search(Asked.GOAL, self.question.goal, self.question.limit)
        if search.found is None:
            return self._so_far(search)
        found = search.found
        match found.evidence:
            case Reaches(trace, earliest):
                if self.question.whatever and self._ranged(self.question.goal):
                    reason = "a way was found, but not one that serves whatever spans are drawn"
                    return Outcome(Verdict.UNKNOWN, reason=reason, engine=found.engine)
                return Outcome(
                    Verdict.HOLDS,
                    Reach.FOREVER,
                    trace=trace,
                    engine=found.engine,
                    earliest=earliest,
                )
            case Closed(until) if until is not None and not _covers(self.question, until):
                return Outcome(Verdict.UNKNOWN, Reach.UP_TO, until, "no way was found so far")
            case _:
                reason = "no choices lead there"
                return Outcome(Verdict.FAILS, Reach.FOREVER, reason=reason, engine=found.engine)

    def _again(self, bad: Outcome) -> Outcome:
        search = self._search(Asked.WAITING, self.question.waiting, None)
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

    def _open(self) -> Outcome:
        search = self._search(Asked.OPEN, self.question.goal, None)
        found = search.found
        limit = self.question.limit
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
                reason = f"neither a dead end nor a way from everywhere was shown; {search.why}"
                return Outcome(Verdict.UNKNOWN, reason=reason, engine=_names(search))

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

    def _ranged(self, node: Node) -> bool:
        part = cone(self.system, [node])
        return any(self.system.clocks[index].ranged for index in part.clocks)


def _covers(question: Question, until: int) -> bool:
    """Whether nothing of the question is left after a tick."""
    return question.limit is not None and until >= question.limit


def _names(search: Sought) -> str:
    return search.found.engine if search.found else ""
