"""Expressions, and what names mean, worked out by hand."""

import pytest

from tests.oracles.afresh.asked import answering, truth
from tests.oracles.afresh.letters import UnsureError

SETTING = (
    "tick 100 ms",
    "setting n = 3",
    "keep mood: one of (calm, busy) = busy",
    "keep level: count (0 - 2) .. 4 = 0 - 1",
    "keep lit[1..3]: flag",
    "keep up: flag = yes",
    "keep left: timer = 300 ms",
    "mains : supply(3)",
    "weak : load(needs: 5)",
    "mains -> weak",
)
"""Nothing of it changes but the timer, so that what holds at tick 0 does so for ever."""


@pytest.mark.parametrize(
    ("expression", "value"),
    [
        ("level div 2 = 0 - 1", True),
        ("level mod 2 = 1", True),
        ("level * 2 - n = 0 - 5", True),
        ("mood is busy", True),
        ("calm = mood", False),
        ("mood is not calm", True),
        ("any of lit", False),
        ("none of (lit[1..2], level > 0)", True),
        ("exactly 1 of (up, lit[1], lit[2])", True),
        ("at least 2 of (up, lit[1])", False),
        ("sum of (level, up, n) = 3", True),
        ("(up when level < 0 else lit[1])", True),
        ("up = lit[1]", False),
        ("mains", True),
        ("mains.out = n", True),
        ("weak", False),
        ("weak.starving", True),
        ("weak.spare = 0", True),
        ("200 ms + 1 tick = 3 ticks", True),
    ],
)
def test_expressions(expression: str, value: bool) -> None:
    assert truth(f"always {expression}", *SETTING).holds is value
    assert truth(f"never {expression}", *SETTING).holds is not value


def test_a_timer_is_compared_in_ticks_either_way_round() -> None:
    for expression in ("left <= 100 ms", "1 tick >= left"):
        assert truth(f"possible {expression}", *SETTING).tick == 2
    assert truth("possible left ends", *SETTING).tick == 2
    assert truth("possible left = 0 s", *SETTING).tick == 3


def test_before_tick_0_nothing_holds() -> None:
    assert truth("possible up starts", *SETTING).tick == 0
    assert truth("never up ends", *SETTING).holds


KIND = """
kind fork(ways: count = 2, wins: one of (left, right) = left) {
  in told[1..ways]: signal
  let left = told[1]
  out out: signal = left when wins is left else told[ways]
}
"""


def test_arguments_options_and_rows_of_an_own_kind() -> None:
    parts = ("keep up: flag = yes", "keep low: flag", "one : fork", "two : fork(wins: right)")
    lines = parts + tuple(
        f"{each} -> {part}.told[{place}]"
        for part in ("one", "two")
        for place, each in ((1, "up"), (2, "low"))
    )
    assert truth("always one", *lines, above=KIND).holds
    assert truth("never two", *lines, above=KIND).holds


def test_an_own_kind_takes_the_place_of_the_standard_one() -> None:
    own = "kind lamp { out lit: signal = yes }"
    assert truth("always last", "last : lamp", above=own).holds


@pytest.mark.parametrize(
    "lines",
    [
        ("let a = b", "let b = a"),
        ("keep left: timer", "left runs while left ends"),
        ("let a = nobody",),
        ("a : gadget",),
        ("let a = 3 div 0",),
        ("keep left: timer", "left loads 3"),
        ("keep up: flag[3]",),
    ],
)
def test_what_is_not_known_is_told(lines: tuple[str, ...]) -> None:
    with pytest.raises(UnsureError):
        answering(*lines)
