"""What a design file says, as a tree: one frozen node per rule of grammar/design.lark.

Spans do not count when trees are compared, so that parse(write(tree)) == tree. Names are not yet
looked up here; `verifier.design` does that. Expressions and types are in `expressions`, sentences
in `sentences`; all can be had from here.
"""

from dataclasses import dataclass

from verifier.syntax.expressions import (
    Anywhere,
    Between,
    Binary,
    ChoiceType,
    Choose,
    CountType,
    Edge,
    Expression,
    InRoom,
    Measure,
    Node,
    Not,
    Number,
    Operator,
    Plain,
    PlainType,
    Range,
    Ref,
    Step,
    Tally,
    Time,
    Type,
    Value,
    WalkersIn,
    Word,
    YesNo,
)
from verifier.syntax.sentences import (
    AfterScope,
    Always,
    AlwaysPossible,
    AnywhereScope,
    AtMostTimes,
    ChainLink,
    Eventually,
    FromUntilScope,
    Lasts,
    LeadsTo,
    Never,
    NoSooner,
    OnlyAfter,
    OnlyWhile,
    Possible,
    Returns,
    Sentence,
    WhileScope,
)

__all__ = [
    "AfterScope",
    "Always",
    "AlwaysPossible",
    "Anywhere",
    "AnywhereScope",
    "Argument",
    "Assume",
    "AtMostTimes",
    "Becomes",
    "Between",
    "Binary",
    "Block",
    "Case",
    "ChainLink",
    "ChoiceType",
    "Choose",
    "Claim",
    "CountType",
    "Declared",
    "Drive",
    "Edge",
    "Eventually",
    "Expression",
    "File",
    "For",
    "Free",
    "FromUntilScope",
    "In",
    "InRoom",
    "Keep",
    "Lasts",
    "LeadsTo",
    "Let",
    "Loads",
    "Measure",
    "Never",
    "NoSooner",
    "Node",
    "Not",
    "Number",
    "OnePress",
    "OnlyAfter",
    "OnlyWhile",
    "Operator",
    "Out",
    "Parameter",
    "Part",
    "Passage",
    "Plain",
    "PlainType",
    "Possible",
    "Range",
    "Ref",
    "Returns",
    "Rooms",
    "Runs",
    "Sentence",
    "Setting",
    "StarvingAllowed",
    "Statement",
    "Step",
    "Tally",
    "Tick",
    "Time",
    "Tolerance",
    "Type",
    "Use",
    "Uses",
    "Value",
    "Walker",
    "WalkersIn",
    "WhileScope",
    "Wire",
    "Word",
    "YesNo",
]

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
