"""The railroad gate of R. Alur, D. L. Dill, "A Theory of Timed Automata", TCS 126(2), 1994.

From memory: a train that comes near tells the gate at least 2 minutes before it is there, and has
left at most 5 minutes after it came near. The controller tells the gate to go down exactly a minute
after it hears of the train, and to rise within a minute of its leaving. The gate takes less than a
minute to go down, and one to two minutes to rise. Then it is down whenever the train is there, and
is never down for more than 10 minutes. The next train comes when the gate is up again.
"""

import pytest

from tests.outside.desk import broken

# Ten seconds a tick; "less than a minute" is at most 50 s.
DESIGN = """
design railroad {
  tick 10 s
  free comes: signal
  keep train: one of (away, near, there)
  keep way: timer
  let sets_out = train is away and comes and gate is up
  train becomes
    near when sets_out,
    there when train is near and way ends,
    away when train is there and way ends
  way loads NEAR .. 3 min when sets_out, 10 s .. 2 min when train is near and way ends
  let leaves = train is there and way ends

  # The controller: an order at the end of each of its timers.
  keep to_lower: timer
  keep to_rise: timer
  to_lower loads HEEDS when sets_out
  to_rise loads 10 s .. 1 min when RISES

  keep gate: one of (up, falling, down, rising)
  keep moves: timer
  gate becomes
    falling when to_lower ends,
    down when gate is falling and moves ends,
    rising when to_rise ends,
    up when gate is rising and moves ends
  moves loads
    10 s .. 50 s when to_lower ends,
    1 min .. 2 min when to_rise ends

  claim safe: train is there only while gate is down
  claim bounded: gate is down lasts at most 10 min
  claim tight: gate is down lasts at most 5 min
  claim comes_through: possible train is there and gate is down
}
"""


@pytest.mark.parametrize(
    ("near", "heeds", "rises", "wrong"),
    [
        # An order after a minute, and 50 s to go down: 110 s are enough, so up to 70 s would be.
        ("110 s", "1 min", "leaves", set()),
        ("2 min", "80 s", "leaves and comes", {"safe", "bounded", "tight"}),
    ],
)
def test_the_gate_is_down_in_time(near: str, heeds: str, rises: str, wrong: set[str]) -> None:
    text = DESIGN.replace("NEAR", near).replace("HEEDS", heeds).replace("RISES", rises)
    assert broken(text) == wrong
