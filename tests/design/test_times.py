"""Times in whole ticks, ranges and tolerance."""

import pytest

from tests.design.make import codes, design, resolved, timer
from verifier.design.resolve import Wishes

GLOW = "design d {{ {head} mains : supply(3)  glow : pulse({span})  mains -> glow  {tail} }}"
START = "press : button  press -> glow.start"


def spans(head: str, span: str) -> tuple[int, int]:
    load = timer(design(GLOW.format(head=head, span=span, tail=START)), "glow.left").loads[0]
    return load.low, load.high


@pytest.mark.parametrize(
    ("head", "span", "ticks"),
    [
        ("tick 100 ms", "6 s", (60, 60)),
        ("tick 10 ms", "1 h", (360_000, 360_000)),
        ("tick 1 min", "41 min .. 43 min", (41, 43)),
        ("tick 100 ms", "2 s + 1 tick", (21, 21)),
        ("tick 100 ms", "3 * 2 s", (60, 60)),
        ("tick 100 ms", "3 ticks", (3, 3)),
        ("tick 100 ms setting stay = 5 s", "stay", (50, 50)),
        # 2 % of 6 s are 0.12 s: outward to whole ticks of 100 ms.
        ("tick 100 ms tolerance 2 %", "6 s", (58, 62)),
        ("tick 10 ms tolerance 2 %", "6 s", (588, 612)),
        ("tick 10 ms tolerance 10 %", "1 s .. 2 s", (90, 220)),
        # Never below a tick.
        ("tick 1 s tolerance 100 %", "2 s", (1, 4)),
    ],
)
def test_spans_become_ticks(head: str, span: str, ticks: tuple[int, int]) -> None:
    assert spans(head, span) == ticks


def test_a_span_off_the_tick_names_the_two_nearest_and_a_tick_that_would_do() -> None:
    _, told = resolved(GLOW.format(head="tick 100 ms", span="250 ms", tail=START))
    assert [one.code for one in told] == ["off-tick"]
    assert told[0].mend == "use `200 ms` or `300 ms`, or `tick 50 ms`"
    assert told[0].span is not None
    assert told[0].span.text == "250 ms"


def test_rounding_that_outdoes_the_tolerance_is_warned_of_with_a_finer_tick() -> None:
    _, told = resolved(GLOW.format(head="tick 1 s tolerance 2 %", span="6 s", tail=START))
    assert [one.code for one in told] == ["coarse-tolerance"]
    assert told[0].mend == "`tick 40 ms` would do"


@pytest.mark.parametrize(
    ("span", "code"),
    [
        ("3 s + 2", "wrong-unit"),
        ("5", "wrong-unit"),
        ("2 s - 3 s", "out-of-range"),
        ("3 s .. 2 s", "out-of-range"),
        ("yes", "wrong-type"),
        ("press", "not-fixed"),
    ],
)
def test_what_is_no_time_is_refused(span: str, code: str) -> None:
    assert codes(GLOW.format(head="", span=span, tail=START)) == [code]


def test_settings_and_ticks_from_the_command_line() -> None:
    text = GLOW.format(head="tick 100 ms setting stay = 5 s", span="stay", tail=START)
    found = design(text, Wishes({"stay": "7 s"}, finer=5))
    assert found.tick_ns == 20_000_000
    assert timer(found, "glow.left").loads[0].low == 350
    assert codes(text, Wishes({"sty": "7 s"})) == ["unknown-name"]
    assert codes(text, Wishes({"stay": "7"})) == ["wrong-unit"]
    assert "unreadable" in codes(text, Wishes({"stay": "7 s } design e {"})) or codes(
        text, Wishes({"stay": ")"})
    )
    assert codes(text, Wishes(finer=7)) == ["off-tick"]
