"""Sentences watched tick by tick, by the table of their meanings in docs/semantics.md.

A watcher is made of a sentence whose conditions are places in the row of a tick. What it remembers
is a plain value, so that it can be part of a state of a search.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from tests.oracles.afresh.letters import Node, UnsureError

Memory = Any
Row = Sequence[bool]


class Seen(NamedTuple):
    """What a tick did: is the sentence broken there, does it wait for something without a limit.

    `met`: what a sentence calls possible is there. `asks`: the sentence is put to the test.
    """

    memory: Memory
    broken: bool = False
    waits: bool = False
    met: bool = False
    asks: bool = True


@dataclass(frozen=True, slots=True)
class Watcher:
    """What is remembered at first, what a tick does, and whether a run that shuts breaks it."""

    first: Memory
    step: Callable[[Memory, Row], Seen]
    shut: Callable[[Memory], bool] = lambda _: False


def watcher(sentence: Node) -> Watcher:  # noqa: C901 - one case a form
    """Return the watcher of a sentence.

    Raises:
        UnsureError: it is none that is known.
    """
    match sentence:
        case ("while" | "after" | "from", *_):
            return _scoped(sentence)
        case ("never", what):
            return Watcher(0, lambda _, row: Seen(0, row[what]))
        case ("only while", what, other):
            return Watcher(0, lambda _, row: Seen(0, row[what] and not row[other], asks=row[what]))
        case ("lasts", what, least, most):
            return _lasts(what, least, most)
        case ("returns", what, limit):
            return _returns(what, limit)
        case ("leads to", cause, effect, limit):
            return _leads_to(cause, effect, limit)
        case ("only after", what, links, last):
            return _only_after(what, links, last)
        case ("at most", what, number, window):
            return _at_most(what, number, window)
        case ("no sooner", what, limit):
            return Watcher(
                0, lambda tick, row: Seen(min(tick + 1, limit), row[what] and tick < limit)
            )
        case ("eventually", what, limit):
            return _eventually(what, limit)
        case ("possible", what, limit, _):
            return _possible(what, limit)
        case ("always possible", what, _):
            return Watcher(0, lambda _, row: Seen(0, met=row[what]))
        case _:
            raise UnsureError(f"sentence {sentence[0]}")


# --- scopes ---------------------------------------------------------------------------------------


def _scoped(sentence: Node) -> Watcher:
    """Remembers None outside, else what is remembered within, in a row of one."""
    if sentence[-1][0] in {"possible", "always possible", "anywhere"}:
        raise UnsureError(f"{sentence[-1][0]} in a scope")
    word, opens, inner = sentence[0], sentence[1], watcher(sentence[-1])
    ends = sentence[2] if word == "from" else None

    def goes_on(memory: Memory, row: Row) -> bool:
        if word == "while":
            return row[opens]
        if ends is not None and row[ends]:
            return False
        return memory is not None or row[opens]

    def step(memory: Memory, row: Row) -> Seen:
        if goes_on(memory, row):
            seen = inner.step(inner.first if memory is None else memory[0], row)
            return seen._replace(memory=(seen.memory,))
        return Seen(None, shut(memory), asks=False)

    def shut(memory: Memory) -> bool:
        return memory is not None and inner.shut(memory[0])

    return Watcher(None, step, shut)


# --- forms ----------------------------------------------------------------------------------------


def _lasts(what: int, least: int | None, most: int | None) -> Watcher:
    """Remembers how long the stretch is, as far as that matters."""
    beyond = max(least or 0, 0 if most is None else most + 1, 1)

    def step(length: Memory, row: Row) -> Seen:
        if not row[what]:
            return Seen(0, least is not None and 0 < length < least, asks=False)
        length = min(length + 1, beyond)
        return Seen(length, most is not None and length > most)

    return Watcher(0, step)


def _returns(what: int, limit: int | None) -> Watcher:
    """Remembers how long the gap is."""

    def step(gap: Memory, row: Row) -> Seen:
        if row[what] or limit is None:
            return Seen(0, waits=not row[what])
        gap = min(gap + 1, limit + 1)
        return Seen(gap, gap > limit)

    return Watcher(0, step)


def _leads_to(cause: int, effect: int, limit: int | None) -> Watcher:
    """Remembers how long ago the oldest cause without an effect was, None if there is none."""

    def step(age: Memory, row: Row) -> Seen:
        if age is not None:
            age += limit is not None
        elif row[cause]:
            age = 0
        if age is None or row[effect]:
            return Seen(None, asks=row[cause])
        if limit is None:
            return Seen(0, waits=True, asks=row[cause])
        return Seen(min(age, limit), age >= limit, asks=row[cause])

    return Watcher(None, step, lambda age: limit is None and age is not None)


def _eventually(what: int, limit: int | None) -> Watcher:
    """Remembers how many ticks have gone by, None once it has come."""

    def step(gone: Memory, row: Row) -> Seen:
        if gone is None or row[what]:
            return Seen(None)
        if limit is None:
            return Seen(0, waits=True)
        return Seen(min(gone + 1, limit + 1), gone >= limit)

    return Watcher(0, step, lambda gone: limit is None and gone is not None)


def _possible(what: int, limit: int | None) -> Watcher:
    """Remembers how many ticks have gone by, as far as that matters."""

    def step(gone: Memory, row: Row) -> Seen:
        if limit is None:
            return Seen(0, met=row[what])
        return Seen(min(gone + 1, limit + 1), met=row[what] and gone <= limit)

    return Watcher(0, step)


def _at_most(what: int, number: int, window: int) -> Watcher:
    """Remembers whether it held a tick ago, and how long ago it started, latest last."""

    def step(memory: Memory, row: Row) -> Seen:
        before, ages = memory
        ages = tuple(age + 1 for age in ages if age + 1 < window)
        now = row[what]
        if not now or before:
            return Seen((now, ages), asks=now)
        ages = (*ages, 0) if window else ages
        return Seen((now, ages[-number - 1 :]), len(ages) > number, asks=now)

    return Watcher((False, ()), step)


def _only_after(what: int, links: Sequence[tuple[int, int | None]], last: int | None) -> Watcher:
    """Remembers what held a tick ago, and of each link how long ago a chain came so far.

    An age that the next link could no longer use is forgotten.
    """
    conditions = [*(link for link, _ in links), what]
    limits = [*(limit for _, limit in links[1:]), last]

    def older(age: int | None, limit: int | None) -> int | None:
        if age is None or limit is None:
            return age
        return age + 1 if age < limit else None

    def step(memory: Memory, row: Row) -> Seen:
        before, ages = memory
        now = tuple(row[one] for one in conditions)
        begins = [new and not old for new, old in zip(now, before, strict=True)]
        aged = [older(age, limit) for age, limit in zip(ages, limits, strict=True)]
        found = tuple(
            0 if begins[place] and (place == 0 or aged[place - 1] is not None) else age
            for place, age in enumerate(aged)
        )
        return Seen((now, found), begins[-1] and found[-1] is None, asks=now[-1])

    return Watcher(((False,) * len(conditions), (None,) * len(links)), step)
