"""Nets, timers and the terms that define them: what conditions, amounts and choices are made of.

Terms are trees over nets; what is shared is shared by nets, so a term never gets long.
"""

from dataclasses import dataclass, field
from enum import Enum

from verifier.source.text import Span

# --- shapes: what a net may hold ------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Flag:
    """Live or dead."""


@dataclass(frozen=True, slots=True)
class Number:
    """A whole number from `low` to `high`; `units` tells amounts of power from counts."""

    low: int
    high: int
    units: bool


@dataclass(frozen=True, slots=True)
class Choice:
    """One of some options; the first is the start and the rest."""

    options: tuple[str, ...]


Shape = Flag | Number | Choice

# --- terms ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Truth:
    """A constant condition."""

    value: bool


@dataclass(frozen=True, slots=True)
class Live:
    """A net of shape Flag is live."""

    net: "Net"


@dataclass(frozen=True, slots=True)
class Not:
    """The inner condition does not hold."""

    inner: "Cond"


@dataclass(frozen=True, slots=True)
class And:
    """All of the conditions hold (yes if there is none)."""

    parts: tuple["Cond", ...]


@dataclass(frozen=True, slots=True)
class Or:
    """One of the conditions holds (no if there is none)."""

    parts: tuple["Cond", ...]


@dataclass(frozen=True, slots=True)
class CondIf:
    """`then` where the condition holds, else `other`."""

    condition: "Cond"
    then: "Cond"
    other: "Cond"


class Relation(Enum):
    """How two numbers are compared; the rest is made with Not and by swapping."""

    EQUAL = "="
    LESS = "<"
    LESS_EQUAL = "<="


@dataclass(frozen=True, slots=True)
class Compare:
    """Two numbers in a relation."""

    relation: Relation
    left: "Num"
    right: "Num"


@dataclass(frozen=True, slots=True)
class Picked:
    """A choice stands at the option with this position."""

    pick: "Pick"
    option: int


@dataclass(frozen=True, slots=True)
class Above:
    """A timer shows more than `ticks` ticks (0 or more)."""

    timer: "Timer"
    ticks: int


@dataclass(frozen=True, slots=True)
class Running:
    """The run condition of a timer holds (for `X ends`: shows one tick and runs)."""

    timer: "Timer"


@dataclass(frozen=True, slots=True)
class Edge:
    """`inner` starts (rising: now and not a tick ago) or ends (the reverse).

    At tick 0 what holds starts, and nothing ends.
    """

    inner: "Cond"
    rising: bool


Cond = Truth | Live | Not | And | Or | CondIf | Compare | Picked | Above | Running | Edge


@dataclass(frozen=True, slots=True)
class Fixed:
    """A constant number."""

    value: int


@dataclass(frozen=True, slots=True)
class Read:
    """The number on a net of shape Number."""

    net: "Net"


@dataclass(frozen=True, slots=True)
class Add:
    """Sum of two numbers."""

    left: "Num"
    right: "Num"


@dataclass(frozen=True, slots=True)
class Subtract:
    """Difference of two numbers; it may be negative between here and a comparison."""

    left: "Num"
    right: "Num"


class Fold(Enum):
    """Arithmetic with a fixed second number, rounded down as for whole numbers."""

    TIMES = "*"
    DIV = "div"
    MOD = "mod"


@dataclass(frozen=True, slots=True)
class Scaled:
    """A number times, divided by or modulo a fixed number (1 or more for DIV and MOD)."""

    fold: Fold
    inner: "Num"
    by: int


@dataclass(frozen=True, slots=True)
class NumIf:
    """`then` where the condition holds, else `other`."""

    condition: "Cond"
    then: "Num"
    other: "Num"


@dataclass(frozen=True, slots=True)
class HowMany:
    """How many of the conditions hold."""

    parts: tuple[Cond, ...]


Num = Fixed | Read | Add | Subtract | Scaled | NumIf | HowMany


@dataclass(frozen=True, slots=True)
class Option:
    """A constant choice, by position."""

    option: int


@dataclass(frozen=True, slots=True)
class ReadPick:
    """The option on a net of shape Choice."""

    net: "Net"


@dataclass(frozen=True, slots=True)
class PickIf:
    """`then` where the condition holds, else `other`."""

    condition: Cond
    then: "Pick"
    other: "Pick"


Pick = Option | ReadPick | PickIf
Term = Cond | Num | Pick

# --- nets and state -------------------------------------------------------------------------------


class Role(Enum):
    """What a net is to the person who wrote the design."""

    IN = "in"
    OUT = "out"
    LET = "let"
    KEPT = "kept"
    FREE = "free"
    PLACE = "place"


@dataclass(eq=False, slots=True)
class Net:
    """A named thing that has a value at every tick.

    `term` is None for kept state, free choices and walkers' places: these are the sources of
    values. `power` is true for power ports. `part` is the path of the part it belongs to, "" for
    the design. `driver` is the place of the wire or the `when` that feeds an input.
    """

    path: str
    shape: Shape
    span: Span
    role: Role
    part: str
    power: bool = False
    term: Term | None = None
    driver: Span | None = None

    def __repr__(self) -> str:
        """Name the net only: terms may be long."""
        return f"Net({self.path})"


@dataclass(frozen=True, slots=True)
class Load:
    """`loads LOW .. HIGH when condition`, in ticks; `turned`: the span less what is left."""

    condition: Cond
    low: int
    high: int
    turned: bool
    span: Span


@dataclass(eq=False, slots=True)
class Timer:
    """A clock that counts ticks down to zero; loading beats running, the first load to hold wins.

    `longest` is the most ticks it can ever show.
    """

    path: str
    span: Span
    part: str
    start: int = 0
    loads: tuple[Load, ...] = ()
    runs: Cond = field(default_factory=lambda: Truth(value=True))

    @property
    def longest(self) -> int:
        """The most ticks that the timer can show."""
        return max([self.start, *(load.high for load in self.loads)])

    @property
    def exact(self) -> bool:
        """Whether it has a span that no tolerance widens, though it is longer than a tick."""
        return self.start > 1 or any(one.turned and one.low > 1 for one in self.loads)

    def __repr__(self) -> str:
        """Name the timer only."""
        return f"Timer({self.path})"
