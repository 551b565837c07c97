"""What a design file says, as a tree: one frozen node per rule of grammar/design.lark.

Spans do not count when trees are compared, so that parse(write(tree)) == tree. Names are not yet
looked up here; `verifier.design` does that.
"""

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

# --- sentences of claims and assumptions ----------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Never(Node):
    """`never P`."""

    what: Expression


@dataclass(frozen=True, slots=True)
class Always(Node):
    """`always P`."""

    what: Expression


@dataclass(frozen=True, slots=True)
class Lasts(Node):
    """`P lasts at least D` (most None), `at most D` (least None), `D1 .. D2`, `D` (both equal)."""

    what: Expression
    least: Expression | None
    most: Expression | None


@dataclass(frozen=True, slots=True)
class Returns(Node):
    """`P returns [within D]`."""

    what: Expression
    limit: Expression | None


@dataclass(frozen=True, slots=True)
class LeadsTo(Node):
    """`P leads to Q [within D]`."""

    cause: Expression
    effect: Expression
    limit: Expression | None


@dataclass(frozen=True, slots=True)
class ChainLink(Node):
    """One step before Q; `limit` is its own `within`, never on the first."""

    what: Expression
    limit: Expression | None


@dataclass(frozen=True, slots=True)
class OnlyAfter(Node):
    """`Q only after P [then R [within D]] ... [each within D]`."""

    what: Expression
    links: tuple[ChainLink, ...]
    each: Expression | None


@dataclass(frozen=True, slots=True)
class OnlyWhile(Node):
    """`Q only while P`."""

    what: Expression
    condition: Expression


@dataclass(frozen=True, slots=True)
class AtMostTimes(Node):
    """`P at most N times in any D`."""

    what: Expression
    number: Expression
    window: Expression


@dataclass(frozen=True, slots=True)
class Possible(Node):
    """`possible P [within D] [whatever the spans]`."""

    what: Expression
    limit: Expression | None
    whatever: bool


@dataclass(frozen=True, slots=True)
class NoSooner(Node):
    """`P no sooner than D`."""

    what: Expression
    limit: Expression


@dataclass(frozen=True, slots=True)
class AlwaysPossible(Node):
    """`always possible P [within D]`."""

    what: Expression
    limit: Expression | None


@dataclass(frozen=True, slots=True)
class Eventually(Node):
    """`eventually P [within D]`."""

    what: Expression
    limit: Expression | None


@dataclass(frozen=True, slots=True)
class WhileScope(Node):
    """`while C: SENTENCE`."""

    condition: Expression
    inner: "Sentence"


@dataclass(frozen=True, slots=True)
class AfterScope(Node):
    """`after C: SENTENCE`."""

    condition: Expression
    inner: "Sentence"


@dataclass(frozen=True, slots=True)
class FromUntilScope(Node):
    """`from C until E: SENTENCE`."""

    opens: Expression
    shuts: Expression
    inner: "Sentence"


@dataclass(frozen=True, slots=True)
class AnywhereScope(Node):
    """`from anywhere: SENTENCE`."""

    inner: "Sentence"


Sentence = (
    Never
    | Always
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
    | WhileScope
    | AfterScope
    | FromUntilScope
    | AnywhereScope
)

# --- statements -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Declared(Node):
    """The name in a declaration, with the index it may carry: `busy[1..9]`, `way[i]`."""

    name: str
    index: Expression | Range | None = None


@dataclass(frozen=True, slots=True)
class Tick(Node):
    """`tick 100 ms`."""

    length: Time


@dataclass(frozen=True, slots=True)
class Tolerance(Node):
    """`tolerance 2 %`."""

    percent: int


@dataclass(frozen=True, slots=True)
class Setting(Node):
    """`setting stay = 6 s [tunable 2 s .. 20 s]`."""

    name: Word
    value: Value
    tunable: Range | None


@dataclass(frozen=True, slots=True)
class Argument(Node):
    """An argument of a part: by position (`name` None) or by name."""

    name: Word | None
    value: Value


@dataclass(frozen=True, slots=True)
class Part(Node):
    """`open_out : pulse(stay)`."""

    name: Declared
    kind: Word
    arguments: tuple[Argument, ...]


@dataclass(frozen=True, slots=True)
class Wire(Node):
    """`A -> B -> ...`, two stops or more."""

    stops: tuple[Ref, ...]


@dataclass(frozen=True, slots=True)
class Drive(Node):
    """`PART.port when CONDITION`."""

    target: Ref
    condition: Expression


@dataclass(frozen=True, slots=True)
class Let(Node):
    """`let NAME = EXPRESSION`."""

    name: Declared
    value: Expression


@dataclass(frozen=True, slots=True)
class Keep(Node):
    """`keep X: TYPE [= START]`."""

    name: Declared
    type: Type
    start: Expression | None


@dataclass(frozen=True, slots=True)
class Free(Node):
    """`free X: TYPE`."""

    name: Declared
    type: Type


@dataclass(frozen=True, slots=True)
class Case(Node):
    """A value and the condition under which it is taken (None: always)."""

    value: Value
    condition: Expression | None


@dataclass(frozen=True, slots=True)
class Becomes(Node):
    """`X becomes A when C, B when D`."""

    target: Ref
    cases: tuple[Case, ...]


@dataclass(frozen=True, slots=True)
class Loads(Node):
    """`X loads SPAN when C, ...`."""

    target: Ref
    cases: tuple[Case, ...]


@dataclass(frozen=True, slots=True)
class Runs(Node):
    """`X runs while C`."""

    target: Ref
    condition: Expression


@dataclass(frozen=True, slots=True)
class In(Node):
    """`in X: power`, `in X: signal optional [= yes]`; `unwired`: what it then reads, or None."""

    name: Declared
    power: bool
    unwired: bool | None


@dataclass(frozen=True, slots=True)
class Out(Node):
    """`out X: signal [= EXPRESSION]`; without one it is driven by a wire inside the kind."""

    name: Declared
    power: bool
    value: Expression | None


@dataclass(frozen=True, slots=True)
class Uses(Node):
    """`uses N of FEED`."""

    number: Expression
    feed: Ref


@dataclass(frozen=True, slots=True)
class Rooms(Node):
    """`rooms lawn, cloister`."""

    names: tuple[Word, ...]


@dataclass(frozen=True, slots=True)
class Passage(Node):
    """`passage A <-> B [when C] [takes SPAN]`; `->` goes one way."""

    start: Ref
    end: Ref
    both_ways: bool
    condition: Expression | None
    takes: Value | None


@dataclass(frozen=True, slots=True)
class Walker(Node):
    """`walker guest starts in lawn`."""

    name: Declared
    room: Ref


@dataclass(frozen=True, slots=True)
class OnePress(Node):
    """`one press at a time`."""


@dataclass(frozen=True, slots=True)
class Assume(Node):
    """`assume SENTENCE`."""

    sentence: Sentence


@dataclass(frozen=True, slots=True)
class Claim(Node):
    """`claim NAME ["text"]: SENTENCE`."""

    name: Declared
    text: str | None
    sentence: Sentence


@dataclass(frozen=True, slots=True)
class StarvingAllowed(Node):
    """`starving allowed: NAME, ...`."""

    parts: tuple[Ref, ...]


@dataclass(frozen=True, slots=True)
class For(Node):
    """`for i in 1..4 { ... }`."""

    name: Word
    range: Range
    body: tuple["Statement", ...]


Statement = (
    Tick
    | Tolerance
    | Setting
    | Part
    | Wire
    | Drive
    | Let
    | Keep
    | Free
    | Becomes
    | Loads
    | Runs
    | In
    | Out
    | Uses
    | Rooms
    | Passage
    | Walker
    | OnePress
    | Assume
    | Claim
    | StarvingAllowed
    | For
)

# --- files ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Parameter(Node):
    """`span: time = 3 s` in the head of a kind or a design."""

    name: Word
    type: Type
    default: Value | None


@dataclass(frozen=True, slots=True)
class Block(Node):
    """A design or a kind: head, an optional line of words on what it is for, body."""

    name: Word
    parameters: tuple[Parameter, ...]
    text: str | None
    body: tuple[Statement, ...]
    is_design: bool


@dataclass(frozen=True, slots=True)
class Use(Node):
    """`use "relays.latch"`."""

    path: str


@dataclass(frozen=True, slots=True)
class File(Node):
    """A whole file: what it uses, then its blocks, in the order written."""

    uses: tuple[Use, ...]
    blocks: tuple[Block, ...]
