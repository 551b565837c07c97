"""Claims as questions: forms, limits, what makes them empty, what must be kept by whom."""

from dataclasses import replace

import pytest

from tests.semantics.sentences import BENCH, P, Q, R
from tests.system.bank import everything
from tests.system.looking import bits, seen
from tests.system.make import NOWHERE, Bench
from verifier.design.model import (
    After,
    AlwaysPossible,
    AtMostTimes,
    Claim,
    Eventually,
    FromAnywhere,
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
from verifier.system.lower import lower
from verifier.system.model import Form, Question, System


def ask(make: Sentence, *, bench: Bench) -> tuple[System, Question]:
    bench.claim("it", make)
    system = lower(bench.design())
    return system, system.questions[0]


@pytest.mark.parametrize("limit", range(4))
def test_possible_within_counts_tick_0_and_the_last_tick(limit: int) -> None:
    bench = Bench()
    system, asked = ask(Possible(bench.button("b"), limit, whatever=True), bench=bench)
    assert (asked.form, asked.limit, asked.whatever) == (Form.REACH, limit, True)
    assert asked.bad is system.pool.no
    assert seen(system, asked.goal, bits("111111")) == "1" * (limit + 1) + "0" * (5 - limit)


@pytest.mark.parametrize("limit", range(4))
def test_no_sooner_allows_the_very_tick(limit: int) -> None:
    bench = Bench()
    system, asked = ask(NoSooner(bench.button("b"), limit), bench=bench)
    assert (asked.form, asked.limit) == (Form.AVOID, max(limit - 1, 0))
    assert seen(system, asked.bad, bits("111111")) == "1" * limit + "0" * (6 - limit)


def test_always_possible_has_the_goal_without_its_limit() -> None:
    bench = Bench()
    system, asked = ask(AlwaysPossible(bench.button("b"), 3), bench=bench)
    assert (asked.form, asked.limit) == (Form.OPEN, 3)
    assert seen(system, asked.goal, bits("010110")) == "010110"


def asked_of(sentence: Sentence) -> Question:
    claim = Claim("it", None, sentence, NOWHERE, "it")
    (question,) = lower(replace(BENCH.design(), claims=(claim,))).questions
    return question


@pytest.mark.parametrize(
    ("sentence", "form", "limit"),
    [
        (Never(P), Form.AVOID, None),
        (Eventually(P, 4), Form.AVOID, 4),
        (Eventually(P, None), Form.AGAIN, None),
        (After(Q, Eventually(P, 4)), Form.AVOID, None),
        (LeadsTo(P, Q, 3), Form.AVOID, None),
        (LeadsTo(P, Q, None), Form.AGAIN, None),
        (Returns(P, 3), Form.AVOID, None),
        (Returns(P, None), Form.AGAIN, None),
        (Possible(P, None, whatever=False), Form.REACH, None),
        (AlwaysPossible(P, None), Form.OPEN, None),
    ],
)
def test_forms_and_limits(sentence: Sentence, form: Form, limit: int | None) -> None:
    asked = asked_of(sentence)
    assert (asked.form, asked.limit, asked.anywhere) == (form, limit, False)
    assert not asked.whatever
    anywhere = asked_of(FromAnywhere(sentence))
    assert (anywhere.form, anywhere.limit, anywhere.anywhere) == (form, limit, True)


@pytest.mark.parametrize(
    "sentence",
    [
        Never(P),
        Returns(P, 2),
        Returns(P, None),
        Eventually(P, 2),
        Eventually(P, None),
        NoSooner(P, 2),
        Possible(P, 2, whatever=False),
        AlwaysPossible(P, None),
    ],
)
def test_forms_that_cannot_be_empty(sentence: Sentence) -> None:
    assert asked_of(sentence).trigger is None


@pytest.mark.parametrize(
    "sentence",
    [
        Lasts(P, 2, None),
        LeadsTo(P, Q, 2),
        OnlyWhile(P, Q),
        AtMostTimes(P, 2, 5),
        OnlyAfter(P, (Link(Q, None),), None),
    ],
)
def test_forms_that_are_empty_where_nothing_asks_for_them(sentence: Sentence) -> None:
    claim = Claim("it", None, sentence, NOWHERE, "it")
    system = lower(replace(BENCH.design(), claims=(claim,)))
    assert system.questions[0].trigger is system.shown["p"].nodes[0]


def test_an_empty_scope_makes_any_claim_empty() -> None:
    claim = Claim("it", None, While(R, Never(P)), NOWHERE, "it")
    system = lower(replace(BENCH.design(), claims=(claim,)))
    assert system.questions[0].trigger is system.shown["r"].nodes[0]


def test_claims_do_not_meddle_with_each_other() -> None:
    bench = Bench()
    button = bench.button("b")
    for number in range(3):
        bench.claim(f"c{number}", Lasts(button, 3 + number, None))
    system = lower(bench.design())
    rows = bits("0111101111100")
    for number, question in enumerate(system.questions):
        bench = Bench()
        bench.claim("alone", Lasts(bench.button("b"), 3 + number, None))
        alone = lower(bench.design())
        assert seen(system, question.bad, rows) == seen(alone, alone.questions[0].bad, rows)


def test_names_of_what_claims_keep_are_their_own() -> None:
    system = lower(everything())
    registers = [(one.name, one.kept) for one in system.registers]
    clocks = [(one.name, one.kept) for one in system.clocks]
    names = [name for name, _ in registers + clocks]
    assert len(set(names)) == len(names)
    watching = [name for name, kept in registers + clocks if not kept]
    assert all("a tick ago" in name or ": " in name for name in watching)
