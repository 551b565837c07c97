"""A stair light on a timer: EN 60669-2-3 (time-delay switches), DIN 18015-2 (warning; from memory).

Where a stair light goes out of itself, people are warned first. Here it goes dark for half a second
30 s and then 15 s before the end, which is how such switches do it (common practice, no source).
Pressed again, at any time, the whole time begins anew.
"""

import pytest

from tests.outside.desk import broken

DESIGN = """
design stairs(again: flag = yes, last: time = 15 s, blink: time = 500 ms) {
  tick 500 ms
  ask   : button
  mains : supply(1)
  runs  : pulse(120 s, again: again)
  mains -> runs
  ask -> runs.start
  let blinks = runs.left = 30 s or runs.left <= last and runs.left > last - blink
  let light = runs.on and not blinks
  let dark = not runs.on

  # Somebody who needs 80 s from the press to the upper door.
  keep climbs: timer
  climbs loads 80 s when ask starts

  claim lit_all_the_way: climbs > 0 s only while runs.on
  claim warned: after light: dark only after blinks each within 15 s
  claim warned_twice: after light: dark only after blinks then blinks
  claim short: blinks lasts 500 ms
  claim whole: runs.on lasts at least 120 s
  claim goes_out: always possible dark within 121 s
}
"""


@pytest.mark.parametrize(
    ("values", "wrong"),
    [
        ({}, set()),
        ({"again": "no"}, {"lit_all_the_way"}),  # a press while it runs does nothing
        ({"last": "15500 ms", "blink": "1 s"}, {"warned", "short"}),
    ],
)
def test_nobody_is_left_in_the_dark(values: dict[str, str], wrong: set[str]) -> None:
    assert broken(DESIGN, values) == wrong
