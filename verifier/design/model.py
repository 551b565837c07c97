"""A design whose names are resolved: nets, kept state, free choices, walkers and claims.

This is the graph of ports, kept whole: each net has the path a person knows it by (`outer.ajar`)
and the term that defines it, written over other nets. Units are checked, times are whole ticks,
ranges and tolerance are already applied, kinds and rows are unfolded. Terms are trees; sharing is
by nets.
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
    the design.
    """

    path: str
    shape: Shape
    span: Span
    role: Role
    part: str
    power: bool = False
    term: Term | None = None

    def __repr__(self) -> str:
        """Name the net only: terms may be long."""
        return f"Net({self.path})"


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

    def __repr__(self) -> str:
        """Name the timer only."""
        return f"Timer({self.path})"


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
    and the room reached there; rooms map to themselves.
    """

    name: str
    place: Net
    timer: Timer
    exits: Net
    starts: tuple[int, ...]
    ends: tuple[int, ...]


# --- claims ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Never:
    """At no tick `what`."""

    what: Cond


@dataclass(frozen=True, slots=True)
class Lasts:
    """Stretches of `what` last at least `least` and at most `most` ticks, where given."""

    what: Cond
    least: int | None
    most: int | None


@dataclass(frozen=True, slots=True)
class Returns:
    """No gap without `what` is longer than `limit` ticks; None: it comes back again and again."""

    what: Cond
    limit: int | None


@dataclass(frozen=True, slots=True)
class LeadsTo:
    """Each tick with `cause` has one with `effect` from then on, to `limit` ticks later."""

    cause: Cond
    effect: Cond
    limit: int | None


@dataclass(frozen=True, slots=True)
class Link:
    """A step of a chain; `limit`: at most so many ticks after the one before (first: None)."""

    what: Cond
    limit: int | None


@dataclass(frozen=True, slots=True)
class OnlyAfter:
    """`what` starts only when the chain was gone through; `limit`: at most so long after it."""

    what: Cond
    links: tuple[Link, ...]
    limit: int | None


@dataclass(frozen=True, slots=True)
class OnlyWhile:
    """Whenever `what`, also `condition`."""

    what: Cond
    condition: Cond


@dataclass(frozen=True, slots=True)
class AtMostTimes:
    """In any `window` consecutive ticks `what` starts at most `number` times."""

    what: Cond
    number: int
    window: int


@dataclass(frozen=True, slots=True)
class Possible:
    """Some choice reaches `what` (by tick `limit`); `whatever`: however spans are drawn."""

    what: Cond
    limit: int | None
    whatever: bool


@dataclass(frozen=True, slots=True)
class NoSooner:
    """No choice reaches `what` before tick `limit`."""

    what: Cond
    limit: int


@dataclass(frozen=True, slots=True)
class AlwaysPossible:
    """From every state that can be reached, `what` can still be reached (in `limit` ticks)."""

    what: Cond
    limit: int | None


@dataclass(frozen=True, slots=True)
class Eventually:
    """Every run has `what` some time (by tick `limit`)."""

    what: Cond
    limit: int | None


@dataclass(frozen=True, slots=True)
class While:
    """The inner sentence in each stretch of `condition`."""

    condition: Cond
    inner: "Sentence"


@dataclass(frozen=True, slots=True)
class After:
    """The inner sentence from the first tick with `condition` on, for ever."""

    condition: Cond
    inner: "Sentence"


@dataclass(frozen=True, slots=True)
class FromUntil:
    """The inner sentence from a tick with `opens` and not `shuts` to before the next `shuts`."""

    opens: Cond
    shuts: Cond
    inner: "Sentence"


@dataclass(frozen=True, slots=True)
class FromAnywhere:
    """The inner sentence from every combination of kept values; only ever outermost."""

    inner: "Sentence"


Sentence = (
    Never
    | Lasts
    | Returns
    | LeadsTo
    | OnlyAfter
    | OnlyWhile
    | AtMostTimes
    | Possible
    | NoSooner
    | AlwaysPossible
    | Eventually
    | While
    | After
    | FromUntil
    | FromAnywhere
)


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
    """A whole design, ready to be lowered."""

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
