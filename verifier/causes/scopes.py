"""Since when a claim is asked: the tick at which the run of its scopes opened."""

from verifier.causes.reasons import Reasons
from verifier.design import model as design
from verifier.design.model import Cond, Not

Scope = design.While | design.After | design.FromUntil


def scopes_of(sentence: design.Sentence) -> tuple[list[Scope], design.Sentence]:
    """Return the scopes around a sentence, the outer ones first, and what stands in them."""
    found: list[Scope] = []
    while isinstance(sentence, Scope | design.FromAnywhere):
        if isinstance(sentence, Scope):
            found.append(sentence)
        sentence = sentence.inner
    return found, sentence


def openings(reasons: Reasons, scopes: list[Scope], tick: int) -> list[int]:
    """Return when each of the scopes opened its run that goes on at a tick.

    Where it shut with this tick, that is the run that went on a tick ago. What opens first stands
    first: no scope opens before those around it.
    """
    return _opened(reasons, scopes, tick) or _opened(reasons, scopes, max(tick - 1, 0)) or []


def _opened(reasons: Reasons, scopes: list[Scope], tick: int) -> list[int] | None:
    """Return when each scope opened; None: one of them is not open at that tick."""
    found: list[int] = []
    floor = 0
    for scope in scopes:
        at = _opening(reasons, scope, floor, tick)
        if at is None:
            return None
        floor = at
        found.append(at)
    return found


def _opening(reasons: Reasons, scope: Scope, floor: int, tick: int) -> int | None:
    match scope:
        case design.While(condition):
            return _since(reasons, condition, floor, tick)
        case design.After(condition):
            return _first(reasons, condition, floor, tick)
        case design.FromUntil(opening, shutting):
            unshut = _since(reasons, Not(shutting), floor, tick)
            return None if unshut is None else _first(reasons, opening, unshut, tick)


def _since(reasons: Reasons, what: Cond, floor: int, tick: int) -> int | None:
    """Return since when a condition has held, from `floor` on; None: it does not at that tick."""
    return max(floor, reasons.began(what, tick)) if reasons.holds(what, tick) else None


def _first(reasons: Reasons, what: Cond, floor: int, tick: int) -> int | None:
    """Return the first tick from `floor` up to `tick` at which a condition holds."""
    if reasons.holds(what, floor):
        return floor
    moments = sorted(reasons.moments(what, tick))
    return next((at for at in moments if at > floor and reasons.holds(what, at)), None)
