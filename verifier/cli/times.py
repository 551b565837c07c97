"""Times and presses as they are written on the command line, in the words of the language."""

import re
from dataclasses import dataclass
from typing import Never

import click

_SIZES = {"ms": 1_000_000, "s": 1_000_000_000, "min": 60_000_000_000, "h": 3_600_000_000_000}
_TIME = r"(\d{1,18})\s*(ms|s|min|h|ticks?)"
_DECIMAL = re.compile(
    r"(?P<whole>\d{1,18})\.(?P<digits>\d{1,18})\s*(?P<unit>ms|s|min|h)\b", re.ASCII
)
_PRESS = re.compile(
    rf"\s*(?P<name>[A-Za-z_][\w.\[\]]*)(?:\s+to\s+(?P<option>\w+))?"
    rf"\s+at\s+(?P<at>{_TIME})(?:\s+for\s+(?P<held>{_TIME}))?\s*",
    re.ASCII,
)


@dataclass(frozen=True, slots=True)
class Time:
    """A whole number of a unit, not yet in ticks."""

    number: int
    unit: str

    def ticks(self, tick_ns: int) -> int:
        """Return it in ticks.

        Raises:
            click.UsageError: It is no whole number of ticks.
        """
        if self.unit.startswith("tick"):
            return self.number
        ns = self.number * _SIZES[self.unit]
        if ns % tick_ns:
            low = ns // tick_ns * tick_ns
            near = " or ".join(map(whole, [low, low + tick_ns] if low else [tick_ns]))
            raise click.UsageError(
                f"{self.number} {self.unit} is no whole number of ticks of {whole(tick_ns)};"
                f" try {near}"
            )
        return ns // tick_ns

    def about(self, tick_ns: int) -> float:
        """Return it in ticks, in parts of one where it is no whole number of them."""
        if self.unit.startswith("tick"):
            return self.number
        return self.number * _SIZES[self.unit] / tick_ns


def whole(ns: int) -> str:
    """Return a time as it may be written: a whole number of the largest unit that divides it."""
    for unit, size in reversed(_SIZES.items()):
        if ns % size == 0 and ns:
            return f"{ns // size} {unit}"
    return f"{ns} ns"


def _mend(text: str) -> str:
    """Return what to write for a time with a decimal point, "" where there is none."""
    found = _DECIMAL.search(text)
    if found is None:
        return ""
    digits = found["digits"]
    ns = int(found["whole"] + digits) * _SIZES[found["unit"]] // 10 ** len(digits)
    return f"; whole numbers only: {whole(ns)} for {found[0]}"


def _read(text: str) -> Time | None:
    found = re.fullmatch(rf"\s*{_TIME}\s*", text, re.ASCII)
    return None if found is None else Time(int(found[1]), found[2])


class TimeType(click.ParamType[Time]):
    """A time such as `10 min`."""

    name = "time"

    def convert(
        self, value: str | Time, param: click.Parameter | None, ctx: click.Context | None
    ) -> Time:
        """Read a time."""
        if isinstance(value, Time):
            return value
        found = _read(value)
        if found is None:
            form = _mend(value) or "; write a whole number and ms, s, min, h or ticks"
            self.fail(f"{value!r} is no time{form}", param, ctx)
        return found


@dataclass(frozen=True, slots=True)
class Press:
    """Something to be done in a run; `option` None is a press, `held` None its usual length."""

    name: str
    option: str | None
    at: Time
    held: Time | None
    text: str


class PressType(click.ParamType[Press]):
    """A press such as `ask_out at 2 s for 1 s`, or `guest to vault at 3 s`."""

    name = "press"

    def convert(
        self, value: str | Press, param: click.Parameter | None, ctx: click.Context | None
    ) -> Press:
        """Read a press."""
        if isinstance(value, Press):
            return value
        found = _PRESS.fullmatch(value)
        if found is None:
            self._refuse(value, param, ctx)
        at, held = _read(found["at"]), _read(found["held"] or "")
        if at is None:
            self._refuse(value, param, ctx)
        return Press(found["name"], found["option"], at, held, value.strip())

    def _refuse(
        self, value: str, param: click.Parameter | None, ctx: click.Context | None
    ) -> Never:
        form = _mend(value) or "; write NAME at TIME for TIME, or NAME to OPTION at TIME"
        self.fail(f"{value!r} is no press{form}", param, ctx)
