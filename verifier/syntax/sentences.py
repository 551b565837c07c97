"""Sentences of claims and assumptions as they are written: one frozen node per form and scope."""

from dataclasses import dataclass

from verifier.syntax.expressions import Expression, Node


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
