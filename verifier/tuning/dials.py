"""Settings that may be turned: what they are called, what they can stand at, where they stand.

A dial is a setting or parameter of a design that is a single time or a number. Times are told in
whole ticks. A place of all dials at once is a `Setting`.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum

from verifier.design.model import Design
from verifier.design.values import time_text

Setting = tuple[int, ...]
"""What each dial stands at, in the order of the dials."""

_SIZES = {"ms": 1_000_000, "s": 1_000_000_000, "min": 60_000_000_000, "h": 3_600_000_000_000}
_AMOUNT = re.compile(r"(\d{1,18})(?: (ms|s|min|h|ticks?))?", re.ASCII)

WIDE = 4
"""A setting without a range of its own is looked at up to so many times its value."""


class Sort(Enum):
    """What a dial is marked with."""

    TIME = "time"
    NUMBER = "number"


@dataclass(frozen=True, slots=True)
class Dial:
    """A setting that may stand anywhere from `low` to `high`, and stands at `now`.

    `own`: the range stands in the design or was asked for; else it is one of ours. A range of its
    own may leave out the present value, where that or the range was asked for.
    """

    name: str
    sort: Sort
    low: int
    high: int
    now: int
    own: bool = True

    def text(self, value: int, tick_ns: int) -> str:
        """Return a value as the language writes it."""
        return time_text(value * tick_ns) if self.sort is Sort.TIME else str(value)

    def exact(self, value: int) -> str:
        """Return a value so that it is read back as the same, however short the tick is."""
        return f"{value} ticks" if self.sort is Sort.TIME else str(value)

    @property
    def inside(self) -> bool:
        """Whether it stands within its range."""
        return self.low <= self.now <= self.high

    @property
    def size(self) -> int:
        """How many values there are."""
        return self.high - self.low + 1


class NoDialError(ValueError):
    """A setting that cannot be turned as asked; the words say why."""


def dials(
    design: Design, turned: Mapping[str, tuple[str, str]], *, every: bool
) -> tuple[Dial, ...]:
    """Return the dials of a design: settings with a range, and those that are `turned` by request.

    `every`: also settings without a range, over a range of ours.

    Raises:
        NoDialError: one that is asked for is no single time or number, or its range is none.
    """
    return tuple(_found(design, turned, every=every))


def _found(design: Design, turned: Mapping[str, tuple[str, str]], *, every: bool) -> Iterator[Dial]:
    tick = design.tick_ns
    for one in design.settings:
        stands = amount(one.value, 1)
        ends = turned.get(one.name, one.tunable)
        if stands is None:
            if one.name in turned:
                raise NoDialError(f"{one.name} is {one.value}, no single time or whole number")
            continue
        sort, now = stands
        if sort is Sort.TIME:
            if now % tick and ends is not None:
                words = f"no whole number of ticks of {time_text(tick)}; it cannot be turned"
                raise NoDialError(f"{one.name} is {one.value}, {words}")
            if now % tick:
                continue
            now //= tick
        if ends is not None:
            yield _ranged(one.name, sort, now, ends, tick)
        elif every:
            low = min(now, 1)
            yield Dial(one.name, sort, low, max(WIDE * now, low + 1), now, own=False)


def _ranged(name: str, sort: Sort, now: int, ends: tuple[str, str], tick_ns: int) -> Dial:
    low, high = (amount(end, 1) for end in ends)
    if low is None or high is None or low[0] is not sort or high[0] is not sort:
        raise NoDialError(f"{ends[0]} .. {ends[1]} is no range for {name}, which is a {sort.value}")
    least, most = low[1], high[1]
    if sort is Sort.TIME:
        least, most = -(-least // tick_ns), most // tick_ns
    if least > most:
        raise NoDialError(f"{ends[0]} .. {ends[1]} holds no value that {name} can stand at")
    return Dial(name, sort, least, most, now)


def amount(text: str, tick_ns: int) -> tuple[Sort, int] | None:
    """Return a value as written: a time in units of `tick_ns`, or a number; None for all else.

    `ticks` count as what they say.
    """
    found = _AMOUNT.fullmatch(text.strip())
    if found is None:
        return None
    number, unit = int(found[1]), found[2]
    if unit is None:
        return Sort.NUMBER, number
    size = tick_ns if unit.startswith("tick") else _SIZES[unit]
    return Sort.TIME, number * size // tick_ns


def stand(dials_: Sequence[Dial]) -> Setting:
    """Return where the dials stand now."""
    return tuple(one.now for one in dials_)
