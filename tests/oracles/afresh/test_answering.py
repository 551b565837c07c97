"""Searches: which runs count, from where, what no run puts to the test, what spans can foil."""

import pytest

from tests.oracles.afresh import answering as searches
from tests.oracles.afresh.asked import answering, truth
from tests.oracles.afresh.letters import UnsureError

HAND = "free hand: signal"


def test_a_run_counts_only_if_it_goes_on_for_ever() -> None:
    assert not answering(HAND, "assume never yes").any_run_counts()
    trap = (HAND, "keep fell: flag", "fell becomes yes when hand or fell", "assume never fell")
    assert answering(*trap).any_run_counts()
    assert truth("never hand", *trap).holds
    assert not truth("never hand", *trap[:-1]).holds


def test_waiting_for_ever_breaks_what_has_no_limit() -> None:
    assert not truth("hand returns", HAND).holds
    assert truth("hand returns", HAND).tick is None
    assert truth("hand returns", HAND, "assume hand returns within 3 ticks").holds
    assert not truth("eventually hand", HAND).holds


def test_always_possible_looks_from_everywhere() -> None:
    lines = (HAND, "keep spent: flag", "spent becomes yes when hand or spent")
    assert not truth("always possible not spent", *lines).holds
    assert truth("always possible spent within 1 tick", *lines).holds
    assert not truth("always possible spent within 0 s", *lines).holds


def test_what_no_run_puts_to_the_test() -> None:
    assert truth("hand and not hand leads to hand", HAND).tested is False
    assert truth("hand leads to hand", HAND).tested
    assert truth("while hand and not hand: never hand", HAND).tested is False


def test_from_anywhere_begins_with_all_that_can_be_left() -> None:
    lines = ("keep level: count 0 .. 2", "keep left: timer = 1 tick", "level becomes 0")
    assert truth("never level = 2", *lines).holds
    assert truth("from anywhere: never level = 2", *lines).tick == 0
    assert truth("from anywhere: never left > 1 tick", *lines).holds


def test_what_hangs_on_a_load_that_never_comes_is_left_open() -> None:
    plain = ("keep left: timer", "left loads 2 ticks when no")
    assert truth("from anywhere: never left > 0 s", *plain).holds
    hidden = (HAND, "keep left: timer", "left loads 2 ticks when hand and not hand")
    with pytest.raises(UnsureError):
        truth("from anywhere: never left > 0 s", *hidden)
    assert truth("from anywhere: never left > 2 ticks", *hidden).holds


SPANS = (HAND, "keep left: timer", "left loads 1 tick .. 3 ticks when hand and left = 0 s")


def test_whatever_the_spans() -> None:
    assert truth("possible left = 3 ticks", *SPANS).holds
    assert not truth("possible left = 3 ticks whatever the spans", *SPANS).holds
    assert truth("possible left > 0 s whatever the spans", *SPANS).holds
    assert not truth("possible left > 0 s within 0 s whatever the spans", *SPANS).holds
    with pytest.raises(UnsureError):
        truth("possible left > 0 s whatever the spans", *SPANS, "assume hand returns")


def test_too_much_to_try_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(searches, "MOST_TICKS", 3)
    with pytest.raises(UnsureError):
        truth("never left > 3 ticks", *SPANS)
    with pytest.raises(UnsureError):
        truth("from anywhere: never left > 3 ticks", *SPANS)


def test_a_claim_that_is_not_there_is_told() -> None:
    with pytest.raises(UnsureError):
        answering(HAND).truth("counts")
