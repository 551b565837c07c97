"""Times as people read them."""

import pytest

from verifier.report.clock import Axis, Clock, decimals
from verifier.source.times import SECOND, span

MS = SECOND // 1000


@pytest.mark.parametrize(
    ("ns", "words"),
    [
        (0, "0 s"),
        (100 * MS, "0.1 s"),
        (6 * SECOND, "6 s"),
        (59 * SECOND + 990 * MS, "59.99 s"),
        (60 * SECOND, "1 min"),
        (90 * SECOND, "1 min 30 s"),
        (3600 * SECOND, "1 h"),
        (50_390 * SECOND, "13 h 59 min 50 s"),
        (3_600 * SECOND + 20 * MS, "1 h 0.02 s"),
        (1, "0.000000001 s"),
    ],
)
def test_spans(ns: int, words: str) -> None:
    assert span(ns) == words


@pytest.mark.parametrize(
    ("tick", "places"), [(SECOND, 0), (100 * MS, 1), (50 * MS, 2), (250 * MS, 2), (MS, 3), (1, 9)]
)
def test_no_more_decimals_than_the_tick_needs(tick: int, places: int) -> None:
    assert decimals(tick) == places


@pytest.mark.parametrize(
    ("ticks", "end", "numeral", "unit"),
    [
        (2, 100, "0.2", "s"),
        (723, 800, "1:12.3", "min:s"),
        (5, 800, "0:00.5", "min:s"),
        (503_905, 600_000, "13:59:50.5", "h:min:s"),
        (3, 600_000, "0:00:00.3", "h:min:s"),
    ],
)
def test_numerals_of_one_axis_are_alike(ticks: int, end: int, numeral: str, unit: str) -> None:
    axis = Axis(Clock(100 * MS), end)
    assert (axis.numeral(ticks), axis.unit) == (numeral, unit)


def test_moments_under_a_minute_have_the_same_decimals() -> None:
    clock = Clock(50 * MS)
    assert [clock.moment(tick) for tick in (0, 1, 40)] == ["0.00 s", "0.05 s", "2.00 s"]
    assert clock.moment(2400) == "2 min"
