"""Expressions and types as they are written: one frozen node per rule of grammar/design.lark."""

from dataclasses import dataclass, field
from enum import Enum

from verifier.source.text import Span


@dataclass(frozen=True, slots=True, kw_only=True)
class Node:
    """Any piece of a tree, with its place."""

    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Word(Node):
    """A name as it was written."""

    text: str


# --- expressions ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Number(Node):
    """A whole number without a unit."""

    value: int


@dataclass(frozen=True, slots=True)
class Time(Node):
    """A whole number of `ms`, `s`, `min`, `h` or `tick` (also written `ticks`)."""

    value: int
    unit: str


@dataclass(frozen=True, slots=True)
class YesNo(Node):
    """One of the two constants of flags."""

    value: bool


@dataclass(frozen=True, slots=True)
class Anywhere(Node):
    """The room that holds every walker: `anywhere`, the default of room parameters."""


@dataclass(frozen=True, slots=True)
class Step(Node):
    """One part of a dotted name: `way[1]`; an index may be an expression or a range of a row."""

    name: str
    index: "Expression | Range | None" = None


@dataclass(frozen=True, slots=True)
class Ref(Node):
    """A dotted name: `feed.way[1]`."""

    steps: tuple[Step, ...]


class Operator(Enum):
    """Operators that join two expressions."""

    OR = "or"
    AND = "and"
    EQUAL = "="
    DIFFERS = "!="
    LESS = "<"
    LESS_EQUAL = "<="
    MORE = ">"
    MORE_EQUAL = ">="
    IS = "is"
    IS_NOT = "is not"
    PLUS = "+"
    MINUS = "-"
    TIMES = "*"
    DIV = "div"
    MOD = "mod"


@dataclass(frozen=True, slots=True)
class Binary(Node):
    """Two expressions joined by an operator; chains lean to the left."""

    operator: Operator
    left: "Expression"
    right: "Expression"


@dataclass(frozen=True, slots=True)
class Not(Node):
    """`not P`."""

    inner: "Expression"


@dataclass(frozen=True, slots=True)
class Edge(Node):
    """`P starts` (rising) or `P ends`."""

    inner: "Expression"
    rising: bool


@dataclass(frozen=True, slots=True)
class Choose(Node):
    """`A when C else B`."""

    then: "Expression"
    condition: "Expression"
    other: "Expression"


class Measure(Enum):
    """What is asked of a list of conditions (or, for SUM, of amounts)."""

    AT_MOST = "at most"
    AT_LEAST = "at least"
    EXACTLY = "exactly"
    ALL = "all"
    ANY = "any"
    NONE = "none"
    SUM = "sum"


@dataclass(frozen=True, slots=True)
class Tally(Node):
    """`at most 2 of (a, b, row)`, `all of (...)`; `number` only for the first three measures."""

    measure: Measure
    number: "Expression | None"
    items: tuple["Expression", ...]


@dataclass(frozen=True, slots=True)
class InRoom(Node):
    """`guest is in vault`, `someone is in vault` (walker None); `is not in` is negated."""

    walker: Ref | None
    room: Ref
    negated: bool


@dataclass(frozen=True, slots=True)
class Between(Node):
    """`guest is between cloister and vault`, in either direction; `is not between` is negated."""

    walker: Ref | None
    one: Ref
    other: Ref
    negated: bool


@dataclass(frozen=True, slots=True)
class WalkersIn(Node):
    """`count of walkers in vault`."""

    room: Ref


Expression = (
    Number
    | Time
    | YesNo
    | Anywhere
    | Ref
    | Binary
    | Not
    | Edge
    | Choose
    | Tally
    | InRoom
    | Between
    | WalkersIn
)


@dataclass(frozen=True, slots=True)
class Range(Node):
    """`LOW .. HIGH`, both ends included."""

    low: Expression
    high: Expression


Value = Expression | Range

# --- types ---------------------------------------------------------------------------------------


class Plain(Enum):
    """Types that need no more words: parameters use all but TIMER, kept state FLAG and TIMER."""

    TIME = "time"
    UNITS = "units"
    COUNT = "count"
    FLAG = "flag"
    ROOM = "room"
    TIMER = "timer"
    SIGNAL = "signal"
    POWER = "power"


@dataclass(frozen=True, slots=True)
class PlainType(Node):
    """A type of one word."""

    plain: Plain


@dataclass(frozen=True, slots=True)
class CountType(Node):
    """`count 0 .. 5`."""

    range: Range


@dataclass(frozen=True, slots=True)
class ChoiceType(Node):
    """`one of (a, b, c)`."""

    options: tuple[Word, ...]


Type = PlainType | CountType | ChoiceType
