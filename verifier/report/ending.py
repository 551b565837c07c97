"""How a run ends, in words: what of the claim is broken, or reached, at its last tick."""

from collections.abc import Sequence

from verifier.causes.facts import Fact, Kind
from verifier.causes.scopes import openings, scopes_of
from verifier.causes.tree import Explained
from verifier.design import model as design
from verifier.design.model import Cond, Not
from verifier.report.counts import count_of
from verifier.report.phrases import Phrases
from verifier.system.model import Question


def ending(explained: Explained, question: Question, phrases: Phrases) -> str:
    """Return what is so at the last tick, and what it should have been."""
    scopes, sentence = scopes_of(question.claim.sentence)
    opened = openings(explained.reasons, scopes, explained.tick)
    teller = _Teller(explained, phrases, opened[-1] if opened else 0)
    if question.claim.built_in is design.BuiltIn.COUNTS:
        return "a count would leave its range"
    return _timed(teller, sentence) or _plain(teller, sentence)


def _timed(teller: "_Teller", sentence: design.Sentence) -> str:
    match sentence:
        case design.Lasts(what, least, most):
            return teller.lasts(what, least, most)
        case design.Returns(what, limit) if limit is not None:
            return teller.too_long(Not(what), limit)
        case design.Eventually(what, limit) if limit is not None:
            return teller.overdue(what, limit)
        case design.LeadsTo(cause, effect, limit):
            return teller.unanswered(cause, effect, limit)
        case _:
            return ""


def _plain(teller: "_Teller", sentence: design.Sentence) -> str:
    match sentence:
        case design.OnlyAfter(what):
            return f"{teller.so(what)}, without what has to come before"
        case design.OnlyWhile(what, condition):
            return f"{teller.so(what)} while {teller.so(condition)}"
        case design.AtMostTimes(what, number, window):
            times = count_of(number + 1, "time")
            return f"{teller.so(what)}, {times} within {teller.span(window)}"
        case design.NoSooner(what, limit):
            return f"{teller.so(what)}, sooner than {teller.span(limit)}"
        case design.Never(what) | design.Possible(what) | design.AlwaysPossible(what):
            return teller.so(what)
        case _:
            return ""


class _Teller:
    """Tells conditions as they stand at the last tick of a run.

    `opened`: the tick from which times count, in which the scope of the claim opened.
    """

    def __init__(self, explained: Explained, phrases: Phrases, opened: int) -> None:
        self.reasons, self.tick = explained.reasons, explained.tick
        self.phrases, self.opened = phrases, opened

    def span(self, ticks: int) -> str:
        return self.phrases.clock.span(ticks)

    def so(self, condition: Cond, tick: int | None = None) -> str:
        """Return what settles a condition, joined by `and`."""
        at = self.tick if tick is None else tick
        # Of an edge only what is now is told, not what was before.
        facts = [fact for fact in self.reasons.settled(condition, at) if fact.tick == at]
        return self.joined(facts)

    def joined(self, facts: Sequence[Fact]) -> str:
        walkers = self.phrases.walkers
        told = [one for one in facts if one.path not in walkers or one.kind is Kind.VALUE]
        return " and ".join(dict.fromkeys(self.phrases.fact(one) for one in told or facts))

    def lasts(self, what: Cond, least: int | None, most: int | None) -> str:
        if self.reasons.holds(what, self.tick) and most is not None:
            return self.too_long(what, most)
        began, counted = self.began(what, max(self.tick - 1, 0))
        needs = "" if least is None else f", not the {self.span(least)} asked for"
        return f"{self.so(what)} after {self.span(self.tick - began)}{counted}{needs}"

    def too_long(self, what: Cond, limit: int) -> str:
        began, counted = self.began(what, self.tick)
        now = self.span(self.tick - began + 1)
        return f"{self.so(what)}, for {now} now{counted}: longer than {self.span(limit)}"

    def overdue(self, what: Cond, limit: int) -> str:
        if not self.opened:
            return f"{self.so(Not(what))} by {self.span(limit)}"
        by = self.phrases.clock.moment(self.opened + limit)
        return f"{self.so(Not(what))} by {by}, {self.span(limit)}{self.counted()}"

    def began(self, what: Cond, tick: int) -> tuple[int, str]:
        """Return since when a condition has been as it is in the scope, and what cuts it off."""
        began = self.reasons.began(what, tick)
        return (began, "") if began >= self.opened else (self.opened, self.counted())

    def counted(self) -> str:
        return f" counted from {self.phrases.clock.moment(self.opened)}"

    def unanswered(self, cause: Cond, effect: Cond, limit: int | None) -> str:
        if not limit:
            return self.so(Not(effect))
        asked = self.tick - limit
        when = f"{self.so(cause, asked)} at {self.phrases.clock.moment(asked)}"
        return f"{when}; {self.span(limit)} later still {self.so(Not(effect))}"
