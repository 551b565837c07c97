"""Sentences watched tick by tick, a second time: from the table in docs/semantics.md alone.

A watcher keeps what it must remember as a plain value, so that it can be part of a state of a
search. It is told in each tick what its conditions are, and tells whether the sentence is broken
there and whether something without a time limit is still owed after it. Nothing here knows of
registers, clocks or the monitors of the verifier.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, assert_never

from verifier.design.model import (
    After,
    AlwaysPossible,
    AtMostTimes,
    Cond,
    Eventually,
    FromAnywhere,
    FromUntil,
    Lasts,
    LeadsTo,
    Never,
    NoSooner,
    OnlyAfter,
    OnlyWhile,
    Possible,
    Returns,
    Sentence,
    While,
)

Memory = Any
"""What a watcher remembers: anything that can be hashed; None before its first tick."""

Holds = Callable[[Cond], bool]


@dataclass(frozen=True, slots=True)
class Seen:
    """What a tick did: `broken` there; `owes` something without a limit after it.

    `asks`: the sentence is put to the test there, so that it is not empty.
    """

    memory: Memory
    broken: bool = False
    owes: bool = False
    asks: bool = True


def watched(  # noqa: C901 - one case a form
    sentence: Sentence, memory: Memory, holds: Holds
) -> Seen:
    """Return what a tick does to a sentence; `memory` is None in the first tick of its run."""
    match sentence:
        case While() | After() | FromUntil():
            return _scoped(sentence, memory, holds)
        case FromAnywhere(inner):
            return watched(inner, memory, holds)
        case Never(what):
            return Seen(0, holds(what))
        case OnlyWhile(what, condition):
            return Seen(0, holds(what) and not holds(condition), asks=holds(what))
        case NoSooner(what, limit):
            tick = memory or 0
            return Seen(min(tick + 1, limit), holds(what) and tick < limit)
        case Lasts():
            return replace(_lasts(sentence, memory or 0, holds), asks=holds(sentence.what))
        case Returns(what, limit):
            return _returns(memory or 0, limit, now=holds(what))
        case LeadsTo():
            return replace(_leads_to(sentence, memory, holds), asks=holds(sentence.cause))
        case Eventually():
            return _eventually(sentence, memory, holds)
        case AtMostTimes():
            return replace(_at_most_times(sentence, memory, holds), asks=holds(sentence.what))
        case OnlyAfter():
            return replace(_only_after(sentence, memory, holds), asks=holds(sentence.what))
        case Possible() | AlwaysPossible():
            return Seen(0)
        case _:
            assert_never(sentence)


def shut(sentence: Sentence, memory: Memory) -> bool:
    """Return whether the run of a sentence, which has just shut, breaks it: something is overdue.

    `memory` is that after its last tick.
    """
    match sentence:
        case While(_, inner) | After(_, inner) | FromUntil(_, _, inner):
            return isinstance(memory, Inside) and shut(inner, memory.memory)
        case LeadsTo(limit=None):
            return bool(memory == OWED)
        case Eventually(limit=None):
            return bool(memory != DONE)
        case _:
            return False


# --- scopes ---------------------------------------------------------------------------------------

OUTSIDE = "outside"


@dataclass(frozen=True, slots=True)
class Inside:
    """A scope is open; what is remembered of the run in it."""

    memory: Memory


def _scoped(sentence: While | After | FromUntil, memory: Memory, holds: Holds) -> Seen:
    match sentence:
        case While(condition):
            opens = stays = holds(condition)
        case After(condition):
            opens, stays = holds(condition), True
        case FromUntil(condition, until):
            stays = not holds(until)
            opens = holds(condition) and stays
        case _:
            assert_never(sentence)
    inside = memory.memory if isinstance(memory, Inside) else None
    if inside is not None and not stays:
        return Seen(OUTSIDE, shut(sentence.inner, inside), asks=False)
    if inside is None and not opens:
        return Seen(OUTSIDE, asks=False)
    seen = watched(sentence.inner, inside, holds)
    return replace(seen, memory=Inside(seen.memory))


# --- forms ----------------------------------------------------------------------------------------


def _lasts(sentence: Lasts, length: int, holds: Holds) -> Seen:
    """`length`: ticks of the stretch that goes on, as far as that matters."""
    least, most = sentence.least, sentence.most
    if not holds(sentence.what):
        return Seen(0, least is not None and 0 < length < least)
    beyond = max(least or 0, 0 if most is None else most + 1)
    return Seen(min(length + 1, beyond or 1), most is not None and length + 1 > most)


def _returns(gap: int, limit: int | None, *, now: bool) -> Seen:
    """`gap`: ticks since it was last there."""
    if limit is None:
        return Seen(0, owes=not now)
    return Seen(0) if now else Seen(min(gap + 1, limit + 1), gap + 1 > limit)


OWED, DONE = "owed", "done"


def _leads_to(sentence: LeadsTo, memory: Memory, holds: Holds) -> Seen:
    """Without a limit: whether an effect is owed; with one: for how many ticks the oldest is."""
    asked, answered = holds(sentence.cause), holds(sentence.effect)
    if sentence.limit is None:
        owes = not answered and (memory == OWED or asked)
        return Seen(OWED if owes else DONE, owes=owes)
    if answered or (memory in {None, DONE} and not asked):
        return Seen(DONE)
    waited = 0 if memory in {None, DONE} else min(memory + 1, sentence.limit)
    return Seen(waited, waited >= sentence.limit)


def _eventually(sentence: Eventually, memory: Memory, holds: Holds) -> Seen:
    """`memory`: DONE, or the ticks gone by."""
    if memory == DONE or holds(sentence.what):
        return Seen(DONE)
    if sentence.limit is None:
        return Seen(0, owes=True)
    gone = memory or 0
    return Seen(min(gone + 1, sentence.limit), gone >= sentence.limit)


def _at_most_times(sentence: AtMostTimes, memory: Memory, holds: Holds) -> Seen:
    """`memory`: whether it held a tick ago, and how long ago it started within the window."""
    before, ages = memory or (False, ())
    now = holds(sentence.what)
    ages = tuple(age + 1 for age in ages if age + 1 < sentence.window)
    if not now or before:
        return Seen((now, ages))
    ages = (0, *ages)[: sentence.number + 1]
    return Seen((now, ages), len(ages) > sentence.number)


def _only_after(sentence: OnlyAfter, memory: Memory, holds: Holds) -> Seen:
    """`memory`: what held a tick ago, and how long ago a chain last came as far as each link.

    Of all chains up to a link the one that ended last leaves most time for the next.
    """
    watched_for = (*(link.what for link in sentence.links), sentence.what)
    before, ages = memory or ((False,) * len(watched_for), (None,) * len(sentence.links))
    now = tuple(holds(one) for one in watched_for)
    begins = [new and not old for new, old in zip(now, before, strict=True)]
    older = [None if age is None else age + 1 for age in ages]
    found: list[int | None] = []
    for place, link in enumerate(sentence.links):
        after = place == 0 or _within(older[place - 1], link.limit)
        found.append(0 if begins[place] and after else older[place])
    limits = [*(link.limit for link in sentence.links[1:]), sentence.limit]
    known = tuple(_capped(age, limit) for age, limit in zip(found, limits, strict=True))
    return Seen((now, known), begins[-1] and not _within(found[-1], sentence.limit))


def _within(age: int | None, limit: int | None) -> bool:
    return age is not None and (limit is None or age <= limit)


def _capped(age: int | None, limit: int | None) -> int | None:
    """Forget what can no longer matter, so that there are but few memories."""
    if age is None or limit is None:
        return None if age is None else 0
    return age if age <= limit else None
