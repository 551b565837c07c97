"""A design whose names are resolved: nets, kept state, free choices, walkers and claims.

This is the graph of ports, kept whole: each net has the path a person knows it by
(`outer.ajar`) and the term that defines it, written over other nets. Units are checked, times are
whole ticks, ranges and tolerance are already applied, kinds and rows are unfolded.

Nets and terms are in `nodes`, sentences in `sentence`; both can be had from here.
"""

from dataclasses import dataclass
from enum import Enum

from verifier.design.nodes import (
    Above,
    Add,
    And,
    Choice,
    Compare,
    Cond,
    CondIf,
    Edge,
    Fixed,
    Flag,
    Fold,
    HowMany,
    Live,
    Load,
    Net,
    Not,
    Num,
    Number,
    NumIf,
    Option,
    Or,
    Pick,
    Picked,
    PickIf,
    Read,
    ReadPick,
    Relation,
    Role,
    Running,
    Scaled,
    Shape,
    Subtract,
    Term,
    Timer,
    Truth,
)
from verifier.design.sentence import (
    After,
    AlwaysPossible,
    AtMostTimes,
    Eventually,
    FromAnywhere,
    FromUntil,
    Lasts,
    LeadsTo,
    Link,
    Never,
    NoSooner,
    OnlyAfter,
    OnlyWhile,
    Possible,
    Returns,
    Sentence,
    While,
)
from verifier.source.text import Span

__all__ = [
    "Above",
    "Add",
    "After",
    "AlwaysPossible",
    "And",
    "Assumption",
    "AtMostTimes",
    "BuiltIn",
    "Case",
    "Choice",
    "Claim",
    "Compare",
    "Cond",
    "CondIf",
    "Design",
    "Edge",
    "Eventually",
    "Fixed",
    "Flag",
    "Fold",
    "Free",
    "FromAnywhere",
    "FromUntil",
    "HowMany",
    "Kept",
    "Lasts",
    "LeadsTo",
    "Link",
    "Live",
    "Load",
    "Net",
    "Never",
    "NoSooner",
    "Not",
    "Num",
    "NumIf",
    "Number",
    "OnlyAfter",
    "OnlyWhile",
    "Option",
    "Or",
    "Part",
    "Pick",
    "PickIf",
    "Picked",
    "Possible",
    "Read",
    "ReadPick",
    "Relation",
    "Returns",
    "Role",
    "Running",
    "Scaled",
    "Sentence",
    "SettingValue",
    "Shape",
    "Subtract",
    "Term",
    "Timer",
    "Truth",
    "Walker",
    "While",
    "WireDrawn",
]

# --- state ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Case:
    """A value and the condition under which it is taken."""

    value: Term
    condition: Cond


@dataclass(frozen=True, slots=True)
class Kept:
    """Kept state of shape Flag, Number or Choice.

    `start` is the value at tick 0 (yes is 1, an option its position). The first case whose
    condition holds gives the value at the next tick; without one it stays. A number outside its
    range stays at the nearest end and breaks the claim `counts`.
    """

    net: Net
    start: int
    cases: tuple[Case, ...]


@dataclass(frozen=True, slots=True)
class Free:
    """A choice made anew at each tick by people or surroundings; `rest` is the value of no press.

    The choice has `count` values. For a Flag 0 is dead and 1 live, for a Number value `low + i`.
    `is_press` is false for walkers, whose steps are not presses.
    """

    net: Net
    count: int
    is_press: bool


@dataclass(frozen=True, slots=True)
class Walker:
    """A walker: `place` is a kept net whose options are rooms, then slow passages (`a -> b`).

    While the timer shows 0 a walker whose place is a passage stands in its far room (this happens
    only where a span that may be one tick was drawn so). `exits` is the free choice among the exits
    of the room, 0 to stay. `starts` and `ends` map each place option to the room that it comes from
    and the room reached there; rooms map to themselves. `leads` tells for each room to which rooms
    its exits lead, from exit 1 on.
    """

    name: str
    place: Net
    timer: Timer
    exits: Net
    starts: tuple[int, ...]
    ends: tuple[int, ...]
    leads: tuple[tuple[int, ...], ...]


# --- claims --------------------------------------------------------------------------------------


class BuiltIn(Enum):
    """Claims that every design carries where they mean something."""

    FED = "fed"
    COUNTS = "counts"


@dataclass(frozen=True, slots=True)
class Claim:
    """A claim to be answered.

    For `counts` the sentence is Never(no) and lowering supplies what is bad: a kept number that
    would leave its range. `written` is the sentence as it stands in the file, blanks folded.
    """

    name: str
    text: str | None
    sentence: Sentence
    span: Span
    written: str
    built_in: BuiltIn | None = None


@dataclass(frozen=True, slots=True)
class Assumption:
    """A sentence that all runs keep; only forms with a time limit or none to keep."""

    sentence: Sentence
    span: Span
    written: str


# --- parts and the whole --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Part:
    """A placed part, for reports: what it is, what it was told, and the nets people read on it.

    `arguments` are (name, value as text) with defaults filled in; `draw` the units it uses;
    `inside` is true for parts of a composite kind, whose path has a dot.
    """

    path: str
    kind: str
    span: Span
    arguments: tuple[tuple[str, str], ...]
    draw: int
    ports_in: tuple[Net, ...]
    ports_out: tuple[Net, ...]
    lets: tuple[Net, ...]
    kept: tuple[Net, ...]
    timers: tuple[Timer, ...]
    fed: Net | None
    starving: Net | None
    inside: bool


@dataclass(frozen=True, slots=True)
class WireDrawn:
    """A wire between two ports, as drawn: from net to net, with its place."""

    source: Net
    target: Net
    span: Span


@dataclass(frozen=True, slots=True)
class SettingValue:
    """A setting or parameter of the design with its value as text, and its range where tunable."""

    name: str
    value: str
    tunable: tuple[str, str] | None
    span: Span


@dataclass(frozen=True, slots=True)
class Design:
    """A whole design, ready to be lowered.

    `pinned` names the settings whose times are compared, divided or taken away from others. Each
    other setting that is a time can only lengthen spans, starts and limits, in proportion.
    """

    name: str
    text: str | None
    file: str
    span: Span
    tick_ns: int
    settings: tuple[SettingValue, ...]
    parts: tuple[Part, ...]
    wires: tuple[WireDrawn, ...]
    nets: tuple[Net, ...]
    kept: tuple[Kept, ...]
    timers: tuple[Timer, ...]
    free: tuple[Free, ...]
    walkers: tuple[Walker, ...]
    rooms: tuple[str, ...]
    one_press: bool
    assumptions: tuple[Assumption, ...]
    claims: tuple[Claim, ...]
    pinned: frozenset[str] = frozenset()
