"""The yellow light: COMAR 11.04.14.03 (Maryland), the MUTCD's 3 to 6 seconds; read in copies.

Y = 1.0 + 0.733 S / (D + 0.32 G) in seconds, for a speed of S mph, a deceleration of D = 10 ft/s2
and a grade of G percent, rounded up to half a second, within 3.0 to 6.0 s. The values are ours,
by the formula.
"""

from fractions import Fraction
from math import ceil

import pytest

from tests.outside.desk import verdicts

DESIGN = """
design crossing {
  tick 500 ms
  mains  : supply(3)
  feed   : divider(ways: 3)
  green  : pulse(20 s)
  yellow : pulse(SPAN ms)
  red    : pulse(25 s)
  mains -> feed
  feed.way[1] -> green
  feed.way[2] -> yellow
  feed.way[3] -> red
  keep begun: flag
  begun becomes yes
  green.start when not begun or red.on ends
  yellow.start when green.on ends
  red.start when yellow.on ends
  claim span: yellow.on lasts SPAN ms
  claim shorter: yellow.on lasts at most LESS ms
  claim limits: yellow.on lasts 3 s .. 6 s
  claim order: red.on only after green.on then yellow.on
  claim one: always at most 1 of (green.on, yellow.on, red.on)
  claim again: green.on returns within 1 min
}
"""


def yellow_ms(mph: int, grade: int = 0) -> int:
    exact = 1 + Fraction(733, 1000) * mph / (10 + Fraction(32, 100) * grade)
    return 500 * min(12, max(6, ceil(exact * 2)))


@pytest.mark.parametrize(("mph", "span"), [(25, 3_000), (45, 4_500), (70, 6_000)])
def test_yellow_lasts_what_the_formula_says(mph: int, span: int) -> None:
    assert yellow_ms(mph) == span
    found = verdicts(DESIGN.replace("SPAN", str(span)).replace("LESS", str(span - 500)))
    assert {name for name, one in found.items() if not one.holds} == {"shorter"}
    assert found["shorter"].fails
