"""What an expression can turn out to be while a design is resolved."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from verifier.design.model import Cond, Fixed, Num, Option, Pick, Timer, Truth, Walker
from verifier.source.text import Span

if TYPE_CHECKING:
    from verifier.design.scope import Entry, Scope


@dataclass(frozen=True, slots=True)
class TimeValue:
    """A time in nanoseconds, fixed where low equals high; `span` is where it was written.

    `moved_by` names the settings whose values went into it.
    """

    low: int
    high: int
    span: Span
    moved_by: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class NumberValue:
    """A number, of units or a count; fixed where its term is Fixed. `power` tells a bare port."""

    term: Num
    power: bool = False

    @property
    def fixed(self) -> int | None:
        """The number where it is constant."""
        return self.term.value if isinstance(self.term, Fixed) else None


@dataclass(frozen=True, slots=True)
class FlagValue:
    """A condition; fixed where its term is Truth."""

    term: Cond

    @property
    def fixed(self) -> bool | None:
        """The truth where it is constant."""
        return self.term.value if isinstance(self.term, Truth) else None


@dataclass(frozen=True, slots=True)
class ChoiceValue:
    """One of some options; fixed where its term is Option."""

    term: Pick
    options: tuple[str, ...]

    @property
    def fixed(self) -> int | None:
        """The position of the option where it is constant."""
        return self.term.option if isinstance(self.term, Option) else None


@dataclass(frozen=True, slots=True)
class RoomValue:
    """A room by position, or anywhere (None)."""

    room: int | None
    name: str


@dataclass(frozen=True, slots=True)
class TimerValue:
    """A timer: compare it, or ask whether it ends."""

    timer: Timer


@dataclass(frozen=True, slots=True)
class PartValue:
    """A placed part; as a condition its main output."""

    inside: "Scope"


@dataclass(frozen=True, slots=True)
class WalkerValue:
    """A walker: ask where it is."""

    walker: Walker


@dataclass(frozen=True, slots=True)
class RowValue:
    """A whole row or a slice of one; only lists take it."""

    name: str
    items: tuple["Entry", ...]


Value = (
    TimeValue
    | NumberValue
    | FlagValue
    | ChoiceValue
    | RoomValue
    | TimerValue
    | PartValue
    | WalkerValue
    | RowValue
)

_NAMES: tuple[tuple[type[object], str], ...] = (
    (TimeValue, "a time"),
    (NumberValue, "a number"),
    (FlagValue, "a condition"),
    (ChoiceValue, "a choice"),
    (RoomValue, "a room"),
    (TimerValue, "a timer"),
    (PartValue, "a part"),
    (WalkerValue, "a walker"),
    (RowValue, "a whole row"),
)


def name_of(value: Value) -> str:
    """Say what a value is, with its article."""
    return next(name for kind, name in _NAMES if isinstance(value, kind))


_UNITS = (
    ("h", 3_600_000_000_000),
    ("min", 60_000_000_000),
    ("s", 1_000_000_000),
    ("ms", 1_000_000),
)


def time_text(ns: int) -> str:
    """Write a time the way the language does, in the largest unit that is whole: `1500 ms`."""
    if ns == 0:
        return "0 s"
    for unit, size in _UNITS:
        if ns % size == 0:
            return f"{ns // size} {unit}"
    return f"{ns / 1_000_000:.9g} ms"


def describe(value: Value) -> str:
    """Write a constant value the way the language does."""
    match value:
        case TimeValue(low, high):
            return time_text(low) if low == high else f"{time_text(low)} .. {time_text(high)}"
        case NumberValue():
            return str(value.fixed)
        case FlagValue():
            return "yes" if value.fixed else "no"
        case ChoiceValue():
            return value.options[value.fixed or 0]
        case RoomValue(_, name):
            return name
        case _:
            return name_of(value)


@dataclass(frozen=True, slots=True)
class Env:
    """The loop names that a statement stands under, with their present numbers."""

    loops: Mapping[str, int] = field(default_factory=dict)

    def with_loop(self, name: str, number: int) -> "Env":
        """Return the environment with one more loop name."""
        return Env({**self.loops, name: number})
