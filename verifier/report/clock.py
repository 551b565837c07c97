"""Times as people read them: spans with their unit, and the moments along one axis.

Times are whole ticks, so a time has no more decimals than the tick needs.
"""

from dataclasses import dataclass

from verifier.source.times import HOUR, MINUTE, SECOND, span


def decimals(tick_ns: int) -> int:
    """Return how many decimals of a second tell every whole number of ticks exactly."""
    places = 0
    while places < len(str(SECOND)) - 1 and tick_ns * 10**places % SECOND:
        places += 1
    return places


def seconds(ns: int, places: int) -> str:
    """Return seconds with a fixed number of decimals, rounded down."""
    whole, rest = divmod(ns, SECOND)
    return f"{whole}.{rest:09d}"[: len(str(whole)) + 1 + places] if places else str(whole)


def units(number: int) -> str:
    """Return an amount of power with its unit: `1 unit`, `3 units`."""
    return f"{number} unit{'' if number == 1 else 's'}"


@dataclass(frozen=True, slots=True)
class Clock:
    """Turns ticks of a design into words."""

    tick_ns: int

    def span(self, ticks: int) -> str:
        """Return a length of time: `0.3 s`."""
        return span(ticks * self.tick_ns)

    def moment(self, tick: int) -> str:
        """Return a moment with its unit, all moments under a minute with the same decimals."""
        ns = tick * self.tick_ns
        if ns < MINUTE * SECOND:
            return f"{seconds(ns, decimals(self.tick_ns))} s"
        return span(ns)


@dataclass(frozen=True, slots=True)
class Axis:
    """Numerals along a rule on which all moments up to `end` (a tick) are written alike."""

    clock: Clock
    end: int

    @property
    def unit(self) -> str:
        """What the numerals count: `s`, `min:s` or `h:min:s`."""
        whole = self.end * self.clock.tick_ns // SECOND
        return "s" if whole < MINUTE else "min:s" if whole < HOUR else "h:min:s"

    def numeral(self, tick: int) -> str:
        """Return the numeral of a moment: `0.2`, `1:12.3`, `13:59:50`."""
        ns = tick * self.clock.tick_ns
        places = decimals(self.clock.tick_ns)
        if self.unit == "s":
            return seconds(ns, places)
        minutes, rest = divmod(ns, MINUTE * SECOND)
        tail = seconds(rest, places).zfill(3 + places if places else 2)
        if self.unit == "min:s":
            return f"{minutes}:{tail}"
        return f"{minutes // 60}:{minutes % 60:02d}:{tail}"
