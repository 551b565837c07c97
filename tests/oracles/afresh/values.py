"""What an expression can mean: code for a flag, a number or a choice, or something that is fixed.

Code is Python over `s`, the state, `c`, the choices, and names of lines that stand before it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tests.oracles.afresh.placing import Thing


@dataclass(frozen=True, slots=True)
class Flag:
    """A condition; where it is fixed its code is True or False."""

    code: str


@dataclass(frozen=True, slots=True)
class Amount:
    """A whole number, as code or fixed."""

    code: str | int


@dataclass(frozen=True, slots=True)
class Choice:
    """One of some options; the code gives its name."""

    code: str
    options: Sequence[str]


@dataclass(frozen=True, slots=True)
class Span:
    """A time or a range of times, in ns."""

    least: int
    most: int


@dataclass(frozen=True, slots=True)
class Clock:
    """A timer, by its place in the state."""

    place: int
    thing: Thing


@dataclass(frozen=True, slots=True)
class Turned:
    """A span, in ns, less what a timer shows."""

    span: int
    clock: Clock


@dataclass(frozen=True, slots=True)
class Room:
    """A room by its number, None for anywhere."""

    number: int | None


@dataclass(frozen=True, slots=True)
class Named:
    """A part or a walker."""

    thing: Thing


@dataclass(frozen=True, slots=True)
class Row:
    """A row of things."""

    things: Mapping[int, Thing]


Value = Flag | Amount | Choice | Span | Clock | Turned | Room | Named | Row

SETTLED = {"True": True, "False": False}
"""What is known of the code of a fixed condition."""


@dataclass(slots=True)
class Slot:
    """A place in the state: what it starts with, and what it can be left with.

    What a timer can be left with hangs on its loads and is told by these.
    """

    start: object
    left: Sequence[object]


@dataclass(frozen=True, slots=True)
class Free:
    """A choice made in each tick, rest first; `presses`: not being at rest can be a press."""

    options: Sequence[object]
    presses: bool
