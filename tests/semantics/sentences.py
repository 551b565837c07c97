"""The sentences that the table and the monitors are compared on."""

from collections.abc import Iterator

from hypothesis import strategies as st

from tests.system.make import Bench
from verifier.design.model import (
    After,
    And,
    AtMostTimes,
    Cond,
    Edge,
    Eventually,
    FromUntil,
    Lasts,
    LeadsTo,
    Link,
    Live,
    Never,
    NoSooner,
    Not,
    OnlyAfter,
    OnlyWhile,
    Or,
    Returns,
    Sentence,
    Truth,
    While,
)

LETTERS = "pqrs"
BENCH = Bench()
P, Q, R, S = (BENCH.button(letter) for letter in LETTERS)


def timed(limit: int) -> Iterator[Sentence]:
    """Every form with a time, at this one."""
    yield Lasts(P, limit, None)
    yield Lasts(P, None, limit)
    yield Lasts(P, limit, limit)
    yield Lasts(P, limit, limit + 1)
    yield Returns(P, limit)
    yield LeadsTo(P, Q, limit)
    yield Eventually(P, limit)
    yield NoSooner(P, limit)
    yield OnlyAfter(Q, (Link(P, None),), limit)
    yield OnlyAfter(Q, (Link(P, None), Link(R, limit)), None)
    yield OnlyAfter(Q, (Link(P, None), Link(R, limit)), limit)
    yield OnlyAfter(Q, (Link(P, None), Link(R, limit), Link(S, limit)), limit)
    yield OnlyAfter(Q, (Link(P, None), Link(P, limit)), limit)
    yield OnlyAfter(P, (Link(P, None),), limit)
    for number in range(3):
        yield AtMostTimes(P, number, limit)


def untimed() -> Iterator[Sentence]:
    """Every form without a time that a run so far can break."""
    yield Never(P)
    yield Never(Edge(P, rising=True))
    yield Never(Edge(P, rising=False))
    yield OnlyWhile(P, Q)
    yield OnlyAfter(Q, (Link(P, None),), None)
    yield OnlyAfter(Q, (Link(P, None), Link(R, None)), None)
    yield OnlyAfter(Q, (Link(P, None), Link(P, None)), None)
    yield OnlyAfter(Q, (Link(P, None), Link(R, None), Link(S, None)), None)
    yield Lasts(Edge(P, rising=True), 2, 2)


def unlimited() -> Iterator[Sentence]:
    """Every form that waits without a limit."""
    yield Returns(P, None)
    yield LeadsTo(P, Q, None)
    yield Eventually(P, None)


def scoped(inner: Sentence) -> Iterator[Sentence]:
    """The sentence in each scope, and in two of them."""
    yield While(R, inner)
    yield After(R, inner)
    yield FromUntil(R, S, inner)
    yield While(S, After(R, inner))
    yield While(R, While(S, inner))
    yield After(S, While(R, inner))
    yield After(R, After(Q, inner))
    yield FromUntil(R, S, While(Q, inner))
    yield FromUntil(R, S, After(Q, inner))
    yield While(Q, FromUntil(R, S, inner))
    yield FromUntil(R, R, inner)


def letters_of(sentence: Sentence) -> str:
    """The letters that a sentence reads."""
    text = repr(sentence)
    return "".join(letter for letter in LETTERS if f"Net({letter})" in text)


conditions: st.SearchStrategy[Cond] = st.recursive(
    st.sampled_from([P, Q, R, S, Truth(value=True), Truth(value=False)]),
    lambda inner: st.one_of(
        st.builds(Not, inner),
        st.builds(Edge, inner, st.booleans()),
        st.builds(And, st.tuples(inner, inner)),
        st.builds(Or, st.tuples(inner, inner)),
    ),
    max_leaves=3,
)
letters: st.SearchStrategy[Live] = st.sampled_from([P, Q, R, S])
simple = st.one_of(letters, letters, conditions)
limits = st.integers(0, 5)
maybe = st.one_of(st.none(), limits)


@st.composite
def _lasts(draw: st.DrawFn) -> Lasts:
    least = draw(maybe)
    low = least or 0
    most = draw(st.integers(low, low + 3)) if least is None or draw(st.booleans()) else None
    return Lasts(draw(simple), least, most)


@st.composite
def _only_after(draw: st.DrawFn) -> OnlyAfter:
    first = Link(draw(simple), None)
    rest = draw(st.lists(st.builds(Link, simple, maybe), max_size=2))
    return OnlyAfter(draw(simple), (first, *rest), draw(maybe))


forms: st.SearchStrategy[Sentence] = st.one_of(
    st.builds(Never, simple),
    _lasts(),
    st.builds(Returns, simple, maybe),
    st.builds(LeadsTo, simple, simple, maybe),
    _only_after(),
    st.builds(OnlyWhile, simple, simple),
    st.builds(AtMostTimes, simple, st.integers(0, 3), limits),
    st.builds(NoSooner, simple, limits),
    st.builds(Eventually, simple, maybe),
)
sentences: st.SearchStrategy[Sentence] = st.one_of(
    forms,
    st.builds(While, simple, forms),
    st.builds(After, simple, forms),
    st.builds(FromUntil, simple, simple, forms),
    st.builds(While, simple, st.builds(FromUntil, simple, simple, forms)),
    st.builds(FromUntil, simple, simple, st.builds(After, simple, forms)),
    st.builds(After, simple, st.builds(While, simple, st.builds(After, simple, forms))),
)
rows = st.lists(st.frozensets(st.sampled_from(LETTERS)), max_size=16)
