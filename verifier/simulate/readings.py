"""The value of everything that people can name, at each tick of a run."""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

Change = tuple[int, int]  # a tick and the value from then on


@dataclass(frozen=True, slots=True)
class Shown:
    """What a timer shows from a tick on: so many ticks, and one less each tick if it `falls`."""

    tick: int
    left: int
    falls: bool


@dataclass(frozen=True, slots=True)
class Readings:
    """The value of each net and timer at each tick of a run, by path.

    Flags are 0 and 1, choices the position of the option. All begin at tick 0. `broken`: likewise,
    whether the claim is broken there; None without a claim that can be broken at a tick.
    """

    length: int
    changes: Mapping[str, Sequence[Change]]
    timers: Mapping[str, Sequence[Shown]]
    broken: Sequence[Change] | None = None

    def at(self, path: str, tick: int) -> int:
        """Return a value at one tick."""
        changes = self.changes[path]
        return changes[bisect_right(changes, tick, key=lambda change: change[0]) - 1][1]

    def left(self, path: str, tick: int) -> int:
        """Return what a timer shows at one tick."""
        found = self.timers[path]
        shown = found[bisect_right(found, tick, key=lambda one: one.tick) - 1]
        return max(0, shown.left - (tick - shown.tick)) if shown.falls else shown.left

    def spans(self, changes: Sequence[Change]) -> list[tuple[int, int, int]]:
        """Return (start, end, value) of each stretch of one value."""
        ends = [start for start, _ in changes[1:]] + [self.length]
        spans = [(start, end, value) for (start, value), end in zip(changes, ends, strict=True)]
        return [one for one in spans if one[0] < one[1]]
