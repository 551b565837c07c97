"""Margins in words."""

import pytest

from tests.report.make import VESTIBULE, answer, system
from verifier.design.bounds import Measure
from verifier.report.clock import Clock
from verifier.report.look import PLAIN
from verifier.report.margins import margin_words
from verifier.report.verdicts import words_for
from verifier.verdict.answer import Margin, Outcome, Reach, Verdict

CLOCK = Clock(100_000_000)


def holds(measure: Measure, value: int, allowed: int | None, *, exact: bool = True) -> str:
    return margin_words(Margin(measure, value, allowed, exact), Verdict.HOLDS, CLOCK)


def fails(measure: Measure, value: int, allowed: int, *, exact: bool = True) -> str:
    return margin_words(Margin(measure, value, allowed, exact), Verdict.FAILS, CLOCK)


@pytest.mark.parametrize("measure", list(Measure))
def test_what_happens_and_what_does_not_are_told_apart(measure: Measure) -> None:
    sure, unsure = holds(measure, 3, 9), holds(measure, 3, 9, exact=False)
    assert sure != unsure
    assert "3 times" in sure if measure is Measure.TIMES else "0.3 s" in sure
    assert "9 times" in unsure if measure is Measure.TIMES else "0.9 s" in unsure


def test_words() -> None:
    assert holds(Measure.LONGEST, 114, 120) == "the longest lasts 11.4 s (12 s allowed)"
    assert holds(Measure.LONGEST, 114, 120, exact=False) == (
        "none lasts longer than 11.4 s (12 s allowed)"
    )
    assert holds(Measure.LONGEST, 120, 120) == "the longest lasts 12 s, all that is allowed"
    assert holds(Measure.SHORTEST, 85, 80) == "the shortest lasts 8.5 s (8 s needed)"
    assert holds(Measure.SOONEST, 80, 80) == "the soonest is after 8 s, no more than is needed"
    assert holds(Measure.GAP, 142, None) == "the longest wait for it is 14.2 s"
    assert holds(Measure.FARTHEST, 30, 50) == "at the farthest it is 3 s away (5 s allowed)"
    assert holds(Measure.FARTHEST, 0, 0) == "it can come at once, whatever was done before"
    assert holds(Measure.FARTHEST, 30, None) == "at the farthest it is 3 s away"
    assert holds(Measure.TIMES, 1, 2) == "the most there are is 1 time (2 times allowed)"


def test_words_for_what_fails() -> None:
    assert fails(Measure.LONGEST, 123, 120) == "it would hold with 12.3 s, not with less"
    assert fails(Measure.SHORTEST, 70, 80) == "it would hold with 7 s, not with more"
    assert fails(Measure.TIMES, 3, 2, exact=False) == "it would hold with 3 times"


def test_they_stand_first_below_the_claim() -> None:
    margin = Margin(Measure.LONGEST, 60, 60, exact=True)
    outcome = Outcome(Verdict.HOLDS, Reach.FOREVER, margins=(margin,))
    said = words_for(answer(system(VESTIBULE), "rests", outcome), CLOCK, PLAIN)
    assert said.remarks[0] == "the longest lasts 6 s, all that is allowed"
