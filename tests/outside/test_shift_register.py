"""Shift registers with linear feedback: standard tap tables name taps for the longest period.

Taps 8, 6, 5, 4 of eight stages give 2^8 - 1 = 255 steps, 16, 15, 13, 4 of sixteen 2^16 - 1 =
65535 (both stepped here in Python as well); taps 8, 7, 6, 4, 3, 2 fall short of it.
"""

import pytest

from tests.outside.desk import verdicts

DESIGN = """
design register {
  tick 10 ms
  keep s[1..STAGES]: flag = yes
  s[1] becomes FEED
  for i in 2..STAGES { s[i] becomes s[i - 1] }
  let home = all of s
  claim back: home returns within BACK ticks
  claim not_before: home at most 1 time in any PERIOD ticks
  claim alive: never none of s
  claim too_soon: home returns within SOON ticks
  claim more: home at most 1 time in any MORE ticks
}
"""


def period(taps: tuple[int, ...]) -> int:
    """Step a register from all live until it is so again; the first tap is the last stage."""
    home = (1 << taps[0]) - 1
    state, steps = home, 0
    while steps == 0 or state != home:
        fed = sum(state >> (tap - 1) & 1 for tap in taps) % 2
        state = (state << 1 | fed) & home
        steps += 1
    return steps


def feed(taps: tuple[int, ...]) -> str:
    """Write the sum modulo two of the taps: comparisons do not chain, so brackets nest."""
    text = f"s[{taps[0]}]"
    for tap in taps[1:]:
        text = f"({text}) != s[{tap}]"
    return text


@pytest.mark.parametrize(
    ("taps", "longest"),
    [((8, 6, 5, 4), True), ((8, 7, 6, 4, 3, 2), False), ((16, 15, 13, 4), True)],
)
def test_comes_home_after_the_period(taps: tuple[int, ...], *, longest: bool) -> None:
    """From home to home is the period: a gap of one tick less, as home itself takes one."""
    steps = period(taps)
    assert (steps == 2 ** taps[0] - 1) is longest
    names = {"BACK": steps - 1, "PERIOD": steps, "SOON": steps - 2, "MORE": steps + 1}
    text = DESIGN.replace("FEED", feed(taps)).replace("STAGES", str(taps[0]))
    for name, value in names.items():
        text = text.replace(name, str(value))
    found = verdicts(text)
    assert {name for name, one in found.items() if one.holds} == {"back", "not_before", "alive"}
    assert found["too_soon"].fails
    assert found["more"].fails
