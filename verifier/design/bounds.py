"""The numbers in a sentence that say how long, how soon or how often, and others in their place."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum
from typing import assert_never

from verifier.design import sentence as form
from verifier.design.sentence import Sentence


class Measure(Enum):
    """What a bound is a bound of."""

    LONGEST = "longest stretch"
    SHORTEST = "shortest stretch"
    GAP = "longest gap"
    ANSWER = "slowest answer"
    LATEST = "latest first time"
    SOONEST = "soonest"
    STEP = "longest step"
    TIMES = "most times"
    FARTHEST = "farthest away"


_LEAST = {Measure.SHORTEST, Measure.SOONEST}


@dataclass(frozen=True, slots=True)
class Bound:
    """A number of a sentence: ticks, or how often (TIMES); None where the sentence names none."""

    measure: Measure
    stated: int | None

    @property
    def easier(self) -> int:
        """Which way the sentence says less: 1 where a larger number allows more, -1 elsewhere."""
        return -1 if self.measure in _LEAST else 1


def bounds(sentence: Sentence) -> tuple[Bound, ...]:
    """Return the numbers of a sentence that runs come near to; none for what is only reached."""
    match sentence:
        case form.Lasts() | form.OnlyAfter():
            return tuple(_several(sentence))
        case form.Returns(limit=limit):
            return (Bound(Measure.GAP, limit),)
        case form.LeadsTo(limit=limit):
            return (Bound(Measure.ANSWER, limit),)
        case form.Eventually(limit=limit):
            return (Bound(Measure.LATEST, limit),)
        case form.NoSooner(limit=limit):
            return (Bound(Measure.SOONEST, limit),)
        case form.AtMostTimes(number=number):
            return (Bound(Measure.TIMES, number),)
        case form.While() | form.After() | form.FromUntil() | form.FromAnywhere():
            return bounds(sentence.inner)
        case _:
            return ()


def _several(sentence: form.Lasts | form.OnlyAfter) -> Iterator[Bound]:
    match sentence:
        case form.Lasts(least=least, most=most):
            # Where both are the same there is nothing between them to tell.
            if least is not None and least != most:
                yield Bound(Measure.SHORTEST, least)
            if most is not None and least != most:
                yield Bound(Measure.LONGEST, most)
        case form.OnlyAfter(links=links, limit=limit):
            stated = [*(link.limit for link in links[1:]), limit]
            for one in dict.fromkeys(one for one in stated if one is not None):
                yield Bound(Measure.STEP, one)
        case _:
            assert_never(sentence)


def with_bound(sentence: Sentence, bound: Bound, value: int) -> Sentence:
    """Return the sentence with another number in place of one, and what else it asks left out."""
    match sentence:
        case form.Lasts(what=what) if bound.measure is Measure.SHORTEST:
            return form.Lasts(what, value, None)
        case form.Lasts(what=what):
            return form.Lasts(what, None, value)
        case form.Returns() | form.LeadsTo() | form.Eventually() | form.NoSooner():
            return replace(sentence, limit=value)
        case form.AtMostTimes():
            return replace(sentence, number=value)
        case form.OnlyAfter(links=links, limit=limit):
            links = tuple(
                replace(link, limit=value) if link.limit == bound.stated else link for link in links
            )
            return replace(sentence, links=links, limit=value if limit == bound.stated else limit)
        case form.While() | form.After() | form.FromUntil() | form.FromAnywhere():
            return replace(sentence, inner=with_bound(sentence.inner, bound, value))
        case form.Never() | form.OnlyWhile() | form.Possible() | form.AlwaysPossible():
            raise AssertionError(f"{type(sentence).__name__} has no such number")
        case _:
            assert_never(sentence)
