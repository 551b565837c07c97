"""Pedestrian signals: MUTCD 2009, 4E.06 (from memory).

The walk interval lasts at least 7 s. The pedestrian change interval and a buffer of at least 3 s
follow it before a conflicting green; together they let whoever sets out in the last moment of the
walk get across at 3.5 ft/s. So 42 ft take 12 s, 70 ft 20 s, 105 ft 30 s.
"""

import pytest

from tests.outside.desk import broken
from tests.tuning.make import rig_of
from verifier.tuning.retune import Aim, Goal, Search

DESIGN = """
design crossing(walk: time = 7 s, buffer: time = 3 s) {
  tick 500 ms
  setting change = 17 s tunable 1 tick .. 80 ticks
  ask    : button
  mains  : supply(8)
  feed   : divider(ways: 4)
  mains -> feed
  walks  : pulse(walk)
  blinks : pulse(change)
  waits  : pulse(buffer)
  served : on_delay(10 s)
  feed.way[1] -> walks
  feed.way[2] -> blinks
  feed.way[3] -> waits
  feed.way[4] -> served
  let green = not walks.on and not blinks.on and not waits.on
  keep asked: flag
  asked becomes no when walks.on, yes when ask
  served.start when green
  walks.start when asked and served.on
  blinks.start when walks.left ends
  waits.start when blinks.left ends

  # Somebody who sets out at any time while it says walk, at the pace that is reckoned with.
  rooms kerb, island
  passage kerb -> island when walks.on takes CROSSES s
  walker guest starts in kerb
  let on_the_way = guest is between kerb and island

  claim not_met: never on_the_way and green
  claim walks_long: walks.on lasts at least 7 s
  claim buffered: walks.on ends leads to green within change + buffer
  claim buffer_long: not walks.on and not blinks.on and not green lasts at least 3 s
  claim heard: ask leads to walks.on within 1 min
}
"""


def least_change(feet: int) -> int:
    """Return the ticks of change that are needed; in the last tick of walk one walks too."""
    seconds = feet * 2 // 7
    assert seconds * 7 == feet * 2
    return 2 * (seconds - 3) - 1


@pytest.mark.parametrize(
    ("feet", "seconds", "less", "wrong"), [(42, 12, 0, set()), (105, 30, 1, {"not_met"})]
)
def test_whoever_sets_out_gets_across(feet: int, seconds: int, less: int, wrong: set[str]) -> None:
    text = DESIGN.replace("CROSSES", str(seconds))
    assert broken(text, {"change": f"{least_change(feet) - less} ticks"}) == wrong


def test_the_least_change_is_found() -> None:
    rig = rig_of(DESIGN.replace("CROSSES", "20"))
    with Search(rig, 60) as search:
        found = search.find(["not_met"], Goal(Aim.LEAST, 0))
    assert found.at == (least_change(70),)
    assert found.best


def test_walk_and_buffer_that_are_too_short_are_found() -> None:
    text = DESIGN.replace("CROSSES", "12")
    values = {"walk": "6500 ms", "buffer": "2500 ms", "change": "10 s"}
    assert broken(text, values) == {"walks_long", "buffer_long"}
