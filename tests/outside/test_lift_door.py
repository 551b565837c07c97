"""How long a lift's door waits: 2010 ADA Standards 407.3.4 and 407.3.5 (from memory).

From the signal that a car answers a call until its doors begin to close: at least the distance to
the button divided by 1.5 ft/s, and at least 5 s: for 6 ft 5 s, for 15 ft 10 s, for 18 ft 12 s. They
stay fully open for at least 3 s.
"""

import pytest

from tests.outside.desk import broken

# A button in the car lets the door close sooner, where it may.
DESIGN = """
design landing(stays: time = 10 s, opens: time = 2 s) {
  tick 500 ms
  call   : button
  hurry  : button
  mains  : supply(6)
  feed   : divider(ways: 3)
  mains -> feed
  stay   : pulse(stays, again: yes)
  walked : on_delay(WALK s)
  leaf   : door(opens: opens, shuts: 4 s)
  feed.way[1] -> stay
  feed.way[2] -> walked
  feed.way[3] -> leaf
  stay.start when call
  walked.start when stay.on
  keep cut: flag
  cut becomes yes when hurry and MAY, no when not stay.on
  leaf.told when stay.on and not cut
  claim time_to_walk: leaf.wanted lasts at least WALK s
  claim dwell: leaf.open lasts at least 3 s
  claim hurry_helps: possible cut and leaf.wanted
}
"""


def seconds(feet: int) -> int:
    """Return the least time to walk from the button to the door."""
    return max(5, -(-feet * 2 // 3))


@pytest.mark.parametrize(
    ("feet", "values", "may", "wrong"),
    [
        (6, {"stays": "5 s"}, "walked.on", set()),
        (18, {}, "walked.on", {"time_to_walk"}),
        (6, {"stays": "5 s", "opens": "2500 ms"}, "walked.on", {"dwell"}),
        (15, {}, "stay.on", {"time_to_walk", "dwell"}),
    ],
)
def test_who_hears_the_call_gets_there(
    feet: int, values: dict[str, str], may: str, wrong: set[str]
) -> None:
    text = DESIGN.replace("WALK", str(seconds(feet))).replace("MAY", may)
    assert broken(text, values) == wrong
