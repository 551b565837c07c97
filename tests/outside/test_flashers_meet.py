"""Two flashers light in the same tick exactly when the gcd of their periods divides their offset.

Chinese remainder theorem (classic); the first meeting is worked out here from the theorem.
"""

from math import gcd, lcm

import pytest

from tests.outside.desk import verdicts

# The second flasher is told OFFSET ticks after the first; each is lit for a tick in its period.
DESIGN = """
design lights {
  tick 100 ms
  mains : supply(6)
  feed  : divider(ways: 3)
  mains -> feed
  lag   : on_delay(OFFSET ticks)
  one   : flasher(lit: 1 tick, dark: ONE ticks)
  two   : flasher(lit: 1 tick, dark: TWO ticks)
  feed.way[1] -> one
  feed.way[2] -> two
  feed.way[3] -> lag
  one.told when yes
  lag.start when yes
  two.told when lag.on
  claim meet: possible one.on and two.on
  claim apart: never one.on and two.on
}
"""


def first_meeting(one: int, two: int, offset: int) -> int | None:
    """Return the tick of the first meeting; the first flasher is lit at tick 1, the other later."""
    later = (1 + offset + two * turn for turn in range(lcm(one, two)))
    return next((tick for tick in later if (tick - 1) % one == 0), None)


@pytest.mark.parametrize(
    ("one", "two", "offset"),
    [
        (4, 6, 1),
        (4, 6, 2),
        (4, 6, 3),
        (6, 9, 3),
        (6, 9, 4),
        (5, 7, 3),
        (8, 12, 6),
        (8, 12, 8),
        (35, 12, 7),
    ],
)
def test_meet_exactly_when_the_theorem_says(one: int, two: int, offset: int) -> None:
    text = DESIGN.replace("OFFSET", str(offset))
    found = verdicts(text.replace("ONE", str(one - 1)).replace("TWO", str(two - 1)))
    meets = offset % gcd(one, two) == 0
    expected = first_meeting(one, two, offset)
    assert (expected is not None) is meets
    assert found["meet"].holds is meets
    assert found["meet"].fails is not meets
    assert found["apart"].holds is not meets
    assert found["meet"].tick == expected
