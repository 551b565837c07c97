"""What a claim's outcome rests on at the tick where it is decided: where every "why" begins."""

from typing import assert_never

from verifier.causes.facts import Fact
from verifier.causes.reasons import Reasons
from verifier.causes.scopes import openings, scopes_of
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
    scopes, inner = scopes_of(claim.sentence)
    opened = openings(reasons, scopes, tick)
    found = _plain(reasons, inner, tick, opened[-1] if opened else 0)
    for scope, at in reversed(list(zip(scopes, opened, strict=True))):
        match scope:
            case design.While(condition):
                found.extend(reasons.settled(condition, tick))
            case design.After(condition) | design.FromUntil(condition):
                found.extend(reasons.settled(condition, at))
    return list(dict.fromkeys(found))


def _plain(reasons: Reasons, sentence: design.Sentence, tick: int, floor: int) -> list[Fact]:
    """Return the grounds of a sentence in a scope that opened at tick `floor`."""
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
            return _unanswered(reasons, (cause, effect), limit, tick, floor)
        case design.OnlyAfter(what, links):
            started = _last_start(reasons, links[-1].what, tick, floor)
            earlier = [] if started is None else reasons.settled(links[-1].what, started)
            return [*reasons.settled(what, tick), *earlier]
        case design.AtMostTimes(what, number):
            return _too_often(reasons, what, number, tick, floor)
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
    reasons: Reasons, asked: tuple[Cond, Cond], limit: int | None, tick: int, floor: int
) -> list[Fact]:
    cause, effect = asked
    silent = Not(effect)
    if limit is not None:
        asked_at = max(0, tick - limit)
    elif reasons.holds(cause, tick):
        asked_at = tick
    else:
        asked_at = max(floor, _last(reasons, cause, tick))
    return [*reasons.settled(cause, asked_at), *reasons.throughout(silent, asked_at, tick)]


def _too_often(reasons: Reasons, what: Cond, number: int, tick: int, floor: int) -> list[Fact]:
    found = reasons.settled(what, tick)
    at = tick
    for _ in range(number):
        before = _last_start(reasons, what, at, floor)
        if before is None:
            break
        found.extend(reasons.settled(what, before))
        at = before
    return found


def _last(reasons: Reasons, what: Cond, tick: int) -> int:
    """Return the first tick of the last stretch up to a tick in which a condition held."""
    if not reasons.holds(what, tick):
        tick = max(reasons.began(what, tick) - 1, 0)
    return reasons.began(what, tick)


def _last_start(reasons: Reasons, what: Cond, tick: int, floor: int) -> int | None:
    """Return the start of the last stretch of a condition that began before a tick.

    In a scope that opened at tick `floor` a stretch starts then at the earliest.
    """
    if reasons.holds(what, tick):
        tick = reasons.began(what, tick) - 1
    if tick < floor:
        return None
    start = max(floor, _last(reasons, what, tick))
    return start if reasons.holds(what, start) else None


def _counts(reasons: Reasons, tick: int) -> list[Fact]:
    """Return what makes a kept number leave its range at the tick after."""
    return [
        fact
        for net, cases in reasons.cases.items()
        if isinstance(net.shape, design.Number) and reasons.leaves_range(net.shape, cases, tick)
        for fact in reasons.taken(cases, tick)
    ]
