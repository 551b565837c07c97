"""Times of doors: 2010 ADA Standards 404.2.8 and 407.3, ANSI/BHMA A156.19-1997 4.1-4.3.

Read in copies. A door closes from 90 to 12 degrees in at least 5 s (404.2.8.1), a spring hinge
from 70 degrees in at least 1.5 s (404.2.8.2), a lift's door stays fully open for at least 3 s
(407.3.5). The shortest legal low-energy cycle, 4 + 5 + 3 + 1.5 = 13.5 s, is a sum of ours.
"""

import pytest

from tests.outside.desk import broken, verdicts

# Opens in 4 s, stays open for 5 s, closes in 3 s and latches in 1.5 s more.
LOW_ENERGY = """
design low_energy {
  tick 500 ms
  ask   : button
  mains : supply(2)
  opens : pulse(9 s)
  leaf  : door(opens: 4 s, shuts: 4500 ms)
  mains -> opens -> leaf
  ask -> opens.start
  claim stays: leaf.open lasts at least 5 s
  claim stays_more: leaf.open lasts at least 5500 ms
  claim cycle: leaf.ajar lasts at least 13500 ms
  claim cycle_more: leaf.ajar lasts at least 14 s
  claim unhurried: leaf.open no sooner than 4 s
}
"""

# A lift: hall calls ask again at any time; the door stays fully open for at least 3 s each time.
LIFT = """
design lift {
  tick 500 ms
  call  : button
  mains : supply(2)
  stays : pulse(HOLD, again: yes)
  leaf  : door(opens: 2 s, shuts: 5 s)
  mains -> stays -> leaf
  call -> stays.start
  claim dwell: leaf.open lasts at least 3 s
}
"""


# A closer takes the leaf from 90 to 12 degrees, a spring hinge from 70 degrees to the frame. Nobody
# pushes a leaf that is on its way back.
CLOSERS = """
design closers(swings: time = 5 s, springs: time = 1500 ms) {
  tick 500 ms
  free push: signal
  mains  : supply(2)
  feed   : divider(ways: 2)
  mains -> feed
  closer : door(opens: 500 ms, shuts: swings)
  hinge  : door(opens: 500 ms, shuts: springs)
  feed.way[1] -> closer
  feed.way[2] -> hinge
  closer.told when push and (closer.shut or closer.wanted)
  hinge.told when push and (hinge.shut or hinge.wanted)
  claim to_12_degrees: closer.moving and not closer.wanted lasts at least 5 s
  claim to_the_frame: hinge.moving and not hinge.wanted lasts at least 1500 ms
}
"""


@pytest.mark.parametrize(
    ("values", "wrong"),
    [
        ({}, set()),
        ({"swings": "4500 ms"}, {"to_12_degrees"}),
        ({"springs": "1 s"}, {"to_the_frame"}),
    ],
)
def test_closers_and_hinges_are_slow_enough(values: dict[str, str], wrong: set[str]) -> None:
    assert broken(CLOSERS, values) == wrong


def test_shortest_low_energy_cycle() -> None:
    found = verdicts(LOW_ENERGY)
    assert {name for name, one in found.items() if one.holds} == {"stays", "cycle", "unhurried"}
    assert found["stays_more"].fails
    assert found["cycle_more"].fails


def test_lift_doors_dwell() -> None:
    """The travel of 2 s comes off the time for which the door is told to be open."""
    assert verdicts(LIFT.replace("HOLD", "5 s"))["dwell"].holds
    assert verdicts(LIFT.replace("HOLD", "4500 ms"))["dwell"].fails
