"""Sentences against formulas of the two catalogues of patterns that people use.

M. B. Dwyer, G. S. Avrunin, J. C. Corbett, "Patterns in Property Specifications for Finite-State
Verification", ICSE 1999 (their mapping to linear temporal logic); S. Konrad, B. H. C. Cheng,
"Real-time Specification Patterns", ICSE 2005 (bounded response, bounded recurrence). The formulas
are from memory. Both are about endless runs, so the sentences are asked of runs that go round.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.semantics.sentences import P, Q, R, S
from tests.semantics.table import Row
from tests.semantics.watcher import Watcher
from verifier.design.model import (
    After,
    Eventually,
    FromUntil,
    LeadsTo,
    Link,
    Never,
    Not,
    OnlyAfter,
    Returns,
    Sentence,
)

Truths = tuple[bool, ...]


@dataclass(frozen=True)
class Round:
    """The places of an endless run: a stem, then a loop from place `back` on."""

    rows: tuple[Row, ...]
    back: int

    def _letter(self, name: str) -> Truths:
        return tuple(name in row for row in self.rows)

    @property
    def p(self) -> Truths:
        return self._letter("p")

    @property
    def q(self) -> Truths:
        return self._letter("q")

    @property
    def r(self) -> Truths:
        return self._letter("r")

    @property
    def s(self) -> Truths:
        return self._letter("s")

    def after(self, place: int) -> int:
        return place + 1 if place + 1 < len(self.rows) else self.back

    def until(self, hold: Truths, goal: Truths, limit: int | None = None) -> Truths:
        """Whether `goal` comes (within so many ticks) and `hold` lasts up to the tick before."""

        def met(place: int) -> bool:
            for _ in range(2 * len(self.rows) if limit is None else limit + 1):
                if goal[place]:
                    return True
                if not hold[place]:
                    return False
                place = self.after(place)
            return False

        return tuple(met(place) for place in range(len(self.rows)))

    def finally_(self, goal: Truths, limit: int | None = None) -> Truths:
        return self.until((True,) * len(self.rows), goal, limit)

    def always(self, what: Truths) -> Truths:
        return turn(self.finally_(turn(what)))

    def weak(self, hold: Truths, goal: Truths) -> Truths:
        """As `until`, or `hold` lasts for ever."""
        return either(self.until(hold, goal), self.always(hold))


def turn(one: Truths) -> Truths:
    return tuple(not truth for truth in one)


def both(*parts: Truths) -> Truths:
    return tuple(all(column) for column in zip(*parts, strict=True))


def either(*parts: Truths) -> Truths:
    return tuple(any(column) for column in zip(*parts, strict=True))


def implies(one: Truths, other: Truths) -> Truths:
    return either(turn(one), other)


Formula = Callable[[Round], Truths]

PATTERNS: list[tuple[Sentence, Formula]] = [
    # absence: globally; after r; after r until s
    (Never(P), lambda w: w.always(turn(w.p))),
    (After(R, Never(P)), lambda w: w.always(implies(w.r, w.always(turn(w.p))))),
    (
        FromUntil(R, S, Never(P)),
        lambda w: w.always(implies(both(w.r, turn(w.s)), w.weak(turn(w.p), w.s))),
    ),
    # existence
    (Eventually(P, None), lambda w: w.finally_(w.p)),
    (
        After(R, Eventually(P, None)),
        lambda w: either(w.always(turn(w.r)), w.finally_(both(w.r, w.finally_(w.p)))),
    ),
    (
        FromUntil(R, S, Eventually(P, None)),
        lambda w: w.always(implies(both(w.r, turn(w.s)), w.until(turn(w.s), both(w.p, turn(w.s))))),
    ),
    # universality
    (Never(Not(P)), lambda w: w.always(w.p)),
    (
        FromUntil(R, S, Never(Not(P))),
        lambda w: w.always(implies(both(w.r, turn(w.s)), w.weak(w.p, w.s))),
    ),
    # precedence: q comes before p
    (OnlyAfter(P, (Link(Q, None),), None), lambda w: w.weak(turn(w.p), w.q)),
    (
        After(R, OnlyAfter(P, (Link(Q, None),), None)),
        lambda w: either(
            w.always(turn(w.r)), w.until(turn(w.r), both(w.r, w.weak(turn(w.p), w.q)))
        ),
    ),
    (
        FromUntil(R, S, OnlyAfter(P, (Link(Q, None),), None)),
        lambda w: w.always(implies(both(w.r, turn(w.s)), w.weak(turn(w.p), either(w.q, w.s)))),
    ),
    # response: q answers p
    (LeadsTo(P, Q, None), lambda w: w.always(implies(w.p, w.finally_(w.q)))),
    (
        After(R, LeadsTo(P, Q, None)),
        lambda w: w.always(implies(w.r, w.always(implies(w.p, w.finally_(w.q))))),
    ),
    (
        FromUntil(R, S, LeadsTo(P, Q, None)),
        lambda w: w.always(
            implies(
                both(w.r, turn(w.s)),
                w.weak(implies(w.p, w.until(turn(w.s), both(w.q, turn(w.s)))), w.s),
            )
        ),
    ),
    # recurrence
    (Returns(P, None), lambda w: w.always(w.finally_(w.p))),
    # bounded response, bounded recurrence
    (LeadsTo(P, Q, 3), lambda w: w.always(implies(w.p, w.finally_(w.q, 3)))),
    (Returns(P, 2), lambda w: w.always(w.finally_(w.p, 2))),
    (Eventually(P, 2), lambda w: w.finally_(w.p, 2)),
]

rows = st.frozensets(st.sampled_from("pqrs"))


def opening_once(world: Round) -> Round:
    """Take r away wherever the tick before has no s.

    What the catalogue says of `after r until s` it says from each r on, also where the scope is
    open already; a scope here begins where it opens. Where that makes a difference, for existence
    and precedence, the two are compared where r only opens.
    """
    before: list[list[Row]] = [[] for _ in world.rows]
    for place in range(len(world.rows)):
        before[world.after(place)].append(world.rows[place])
    kept = [
        row if all("s" in one for one in come_from) else row - {"r"}
        for row, come_from in zip(world.rows, before, strict=True)
    ]
    return Round(tuple(kept), world.back)


@pytest.mark.parametrize("place", range(len(PATTERNS)), ids=lambda n: repr(PATTERNS[n][0]))
def test_a_sentence_says_what_the_formula_says(place: int) -> None:
    sentence, formula = PATTERNS[place]
    watcher, answers = Watcher(sentence), set[bool]()

    @settings(max_examples=2 * settings().max_examples)
    @given(st.lists(rows, max_size=5), st.lists(rows, min_size=1, max_size=5))
    def compare(stem: Sequence[Row], loop: Sequence[Row]) -> None:
        world = Round((*stem, *loop), len(stem))
        if isinstance(sentence, FromUntil) and isinstance(sentence.inner, Eventually | OnlyAfter):
            world = opening_once(world)
        expected = formula(world)[0]
        fails = watcher.fails_for_ever(world.rows[: world.back], world.rows[world.back :])
        assert fails != expected
        answers.add(expected)

    compare()
    assert answers == {True, False}
