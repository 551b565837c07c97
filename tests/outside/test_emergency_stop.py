"""Stopping and starting again: ISO 13850 cl. 4.1 and IEC 60204-1 cl. 7.5 (from memory).

An emergency stop stays in force until it is reset by hand, and resetting it must not start anything
again (ISO 13850). When the supply comes back, nothing may start of itself (IEC 60204-1, 7.5).
"""

import pytest

from tests.outside.desk import broken

DESIGN = """
design machine {
  tick 100 ms
  free supplied: signal
  start  : START
  stop   : lever
  mains  : supply(2, drops: 0)
  runs   : relay
  mains.told when supplied
  mains -> runs.feed
  let live = mains.out > 0
  runs.coil when live and not stop and (RUNS)
  let moves = runs.make > 0

  # A start by somebody's own act: an edge of the button, with supply there and no stop.
  claim started: moves starts only after start starts each within 1 tick
  claim reset_alone: from stop ends until start starts: never moves starts
  claim supply_alone: from supplied starts until start starts: never moves starts
  claim stops: stop leads to not moves within 1 tick
  claim dead: moves only while supplied
  claim can_run: always possible moves within 1 s
}
"""


@pytest.mark.parametrize(
    ("start", "runs", "wrong"),
    [
        ("button", "start starts or runs.pulled", set()),
        # A button that is held down when stop or supply come back, looked at as a level.
        ("button", "start or runs.pulled", {"started", "reset_alone", "supply_alone"}),
    ],
)
def test_nothing_starts_of_itself(start: str, runs: str, wrong: set[str]) -> None:
    assert broken(DESIGN.replace("START", start).replace("RUNS", runs)) == wrong
