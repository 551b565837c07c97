"""Sentences of claims and assumptions, with their conditions resolved and their times in ticks.

The forms are those that people were found to use: M. Dwyer, G. Avrunin, J. Corbett, "Patterns in
property specifications for finite-state verification", ICSE 1999; S. Konrad, B. Cheng, "Real-time
specification patterns", ICSE 2005. docs/semantics.md says what each means.
"""

from dataclasses import dataclass
from typing import assert_never

from verifier.design.nodes import Cond


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


def conditions(sentence: Sentence) -> tuple[Cond, ...]:
    """Return the conditions that a sentence speaks of, its scopes included."""
    match sentence:
        case LeadsTo(cause, effect, _):
            return (cause, effect)
        case OnlyAfter(what, links, _):
            return (what, *(link.what for link in links))
        case OnlyWhile(what, condition):
            return (what, condition)
        case While(condition, inner) | After(condition, inner):
            return (condition, *conditions(inner))
        case FromUntil(opens, shuts, inner):
            return (opens, shuts, *conditions(inner))
        case FromAnywhere(inner):
            return conditions(inner)
        case (
            Never(what)
            | Lasts(what)
            | Returns(what)
            | AtMostTimes(what)
            | Possible(what)
            | NoSooner(what)
            | AlwaysPossible(what)
            | Eventually(what)
        ):
            return (what,)
        case _:
            assert_never(sentence)
