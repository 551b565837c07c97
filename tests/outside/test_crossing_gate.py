"""A railway crossing against 49 CFR 234.223 and 234.225.

The lights flash for at least 3 s before the arm begins to move (read in a copy); the arm is level
at least 5 s before the train comes, and warning is given at least 20 s before it (both from
memory).
"""

import pytest

from tests.outside.desk import broken

# The train needs 20 to 40 s from the point at which it is seen; it passes for 10 s or more.
DESIGN = """
kind train(comes: time, passes: time) {
  free sets_out: signal
  keep leg: one of (away, near, crossing)
  keep left: timer
  leg becomes
    near when leg is away and sets_out,
    crossing when leg is near and left ends,
    away when leg is crossing and left ends
  left loads comes when leg is away and sets_out, passes when leg is near and left ends
  out near: signal = leg is near
  out here: signal = leg is crossing
}

design crossing {
  tick 500 ms
  track  : train(comes: 20 s .. 40 s, passes: 10 s .. 20 s)
  mains  : supply(2)
  warned : on_delay(WAIT)
  arm    : door(opens: LOWERS, shuts: 5 s)
  mains -> warned -> arm
  let lights = track.near or track.here
  warned.start when lights
  let level = arm.open
  claim lights_first: lights and not arm.wanted lasts at least 3 s
  claim warned_in_time: track.near lasts at least 20 s
  claim level_first: track.near and level lasts at least 5 s
  claim kept_down: track.here only while level
  claim lifts: always possible arm.shut within 70 s
}
"""


@pytest.mark.parametrize(
    ("wait", "lowers", "wrong"),
    [
        ("3 s", "10 s", set()),
        ("2 s", "10 s", {"lights_first"}),
        ("3 s", "11500 ms", set()),
        ("3 s", "12 s", {"level_first"}),
    ],
)
def test_arm_and_lights(wait: str, lowers: str, wrong: set[str]) -> None:
    """Seen at 0: lights. 3 s and a tick later the arm moves, so 11.5 s are left for it, not 12."""
    assert broken(DESIGN.replace("WAIT", wait).replace("LOWERS", lowers)) == wrong
