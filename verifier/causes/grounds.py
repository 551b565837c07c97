"""What a claim's outcome rests on at the tick where it is decided: where every "why" begins."""

from typing import assert_never

from verifier.causes.facts import Fact
from verifier.causes.reasons import Reasons
from verifier.design import model as design
from verifier.design.model import Cond, Not
from verifier.system.model import Question


def grounds(reasons: Reasons, question: Question, tick: int) -> list[Fact]:
    """Return the facts that decide a claim at a tick: that break it, or reach what it asks for.

    Every tick is told of its own reading, so that what must last is told from its start to its end.
    """
    claim = question.claim
    if claim.built_in is design.BuiltIn.COUNTS:
        return _counts(reasons, tick)
    return list(dict.fromkeys(_of(reasons, claim.sentence, tick, 0)))


def _of(reasons: Reasons, sentence: design.Sentence, tick: int, floor: int) -> list[Fact]:
    """Return the grounds of a sentence in a scope that opened at tick `floor`."""
    match sentence:
        case design.FromAnywhere(inner):
            return _of(reasons, inner, tick, floor)
        case design.While(condition, inner):
            opened = max(floor, reasons.began(condition, tick))
            facts = reasons.settled(condition, tick)
            return [*_of(reasons, inner, tick, opened), *facts]
        case design.After(condition, inner):
            opened = _first(reasons, condition, floor, tick)
            facts = reasons.settled(condition, opened)
            return [*_of(reasons, inner, tick, opened), *facts]
        case design.FromUntil(opens, _, inner):
            opened = max(floor, _last(reasons, opens, tick))
            facts = reasons.settled(opens, opened)
            return [*_of(reasons, inner, tick, opened), *facts]
        case _:
            return _plain(reasons, sentence, tick, floor)


def _plain(reasons: Reasons, sentence: design.Sentence, tick: int, floor: int) -> list[Fact]:
    match sentence:
        case design.Never(what) | design.NoSooner(what) | design.Possible(what):
            return reasons.settled(what, tick)
        case design.AlwaysPossible(what):
            return reasons.settled(what, tick)
        case design.OnlyWhile(what, condition):
            return [*reasons.settled(what, tick), *reasons.settled(condition, tick)]
        case design.Lasts(what):
            return _lasted(reasons, what, tick, floor)
        case design.Returns(what) | design.Eventually(what):
            return _kept_up(reasons, Not(what), tick, floor)
        case design.LeadsTo(cause, effect, limit):
            return _unanswered(reasons, (cause, effect), limit, tick)
        case design.OnlyAfter(what, links):
            started = _last_start(reasons, links[-1].what, tick)
            earlier = [] if started is None else reasons.settled(links[-1].what, started)
            return [*reasons.settled(what, tick), *earlier]
        case design.AtMostTimes(what, number):
            return _too_often(reasons, what, number, tick)
        case design.While() | design.After() | design.FromUntil() | design.FromAnywhere():
            raise AssertionError("scopes are opened first")
        case _:
            assert_never(sentence)


def _lasted(reasons: Reasons, what: Cond, tick: int, floor: int) -> list[Fact]:
    if reasons.holds(what, tick):
        return _kept_up(reasons, what, tick, floor)
    ended = reasons.settled(what, tick)
    return [*ended, *_kept_up(reasons, what, tick - 1, floor)] if tick else ended


def _kept_up(reasons: Reasons, what: Cond, tick: int, floor: int) -> list[Fact]:
    return reasons.throughout(what, max(floor, reasons.began(what, tick)), tick)


def _unanswered(
    reasons: Reasons, asked: tuple[Cond, Cond], limit: int | None, tick: int
) -> list[Fact]:
    cause, effect = asked
    silent = Not(effect)
    if limit is not None:
        first = max(0, tick - limit)
    elif reasons.holds(cause, tick):
        first = tick
    else:
        first = _last(reasons, cause, tick)
    return [*reasons.settled(cause, first), *reasons.throughout(silent, first, tick)]


def _too_often(reasons: Reasons, what: Cond, number: int, tick: int) -> list[Fact]:
    found = reasons.settled(what, tick)
    at = tick
    for _ in range(number):
        before = _last_start(reasons, what, at)
        if before is None:
            break
        found.extend(reasons.settled(what, before))
        at = before
    return found


def _first(reasons: Reasons, what: Cond, floor: int, tick: int) -> int:
    """Return the first tick from `floor` on at which a condition holds; the last one if none."""
    if reasons.holds(what, floor):
        return floor
    moments = sorted(reasons.moments(what, tick))
    return next((at for at in moments if at > floor and reasons.holds(what, at)), tick)


def _last(reasons: Reasons, what: Cond, tick: int) -> int:
    """Return the first tick of the last stretch up to a tick in which a condition held."""
    if not reasons.holds(what, tick):
        tick = max(reasons.began(what, tick) - 1, 0)
    return reasons.began(what, tick)


def _last_start(reasons: Reasons, what: Cond, tick: int) -> int | None:
    """Return the start of the last stretch of a condition that began before a tick."""
    if reasons.holds(what, tick):
        tick = reasons.began(what, tick) - 1
    if tick < 0:
        return None
    start = _last(reasons, what, tick)
    return start if reasons.holds(what, start) else None


def _counts(reasons: Reasons, tick: int) -> list[Fact]:
    """Return what makes a kept number leave its range at the tick after."""
    return [
        fact
        for net, cases in reasons.cases.items()
        if isinstance(net.shape, design.Number) and reasons.leaves_range(net.shape, cases, tick)
        for fact in reasons.taken(cases, tick)
    ]
