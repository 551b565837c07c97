"""Shift registers with linear feedback: standard tap tables name taps for the longest period.

Taps 8, 6, 5, 4 of eight stages give 2^8 - 1 = 255 steps (RUN: stepped here in Python as well); taps
8, 4 do not.
"""

import pytest

from tests.outside.desk import verdicts

DESIGN = """
design register {
  tick 10 ms
  keep s[1..8]: flag = yes
  s[1] becomes FEED
  for i in 2..8 { s[i] becomes s[i - 1] }
  let home = all of (s)
  claim back: home returns within BACK ticks
  claim not_before: home at most 1 times in any PERIOD ticks
  claim alive: never none of (s)
  claim too_soon: home returns within SOON ticks
  claim more: home at most 1 times in any MORE ticks
}
"""


def period(taps: tuple[int, ...]) -> int:
    state = (True,) * 8
    steps = 0
    while steps == 0 or not all(state):
        state = (sum(state[tap - 1] for tap in taps) % 2 == 1, *state[:-1])
        steps += 1
    return steps


@pytest.mark.parametrize("taps", [(8, 6, 5, 4), (8, 7, 6, 4, 3, 2)])
def test_comes_home_after_the_period(taps: tuple[int, ...]) -> None:
    """From home to home is the period: a gap of one tick less, as home itself takes one."""
    steps = period(taps)
    assert (steps == 255) is (taps == (8, 6, 5, 4))
    names = {"BACK": steps - 1, "PERIOD": steps, "SOON": steps - 2, "MORE": steps + 1}
    text = DESIGN.replace("FEED", nested(taps))
    for name, value in names.items():
        text = text.replace(name, str(value))
    found = verdicts(text)
    assert {name for name, one in found.items() if one.holds} == {"back", "not_before", "alive"}
    assert found["too_soon"].fails
    assert found["more"].fails


def nested(taps: tuple[int, ...]) -> str:
    """Write the sum modulo two of the taps: comparisons do not chain, so brackets nest."""
    text = f"s[{taps[0]}]"
    for tap in taps[1:]:
        text = f"({text}) != s[{tap}]"
    return text
