"""Patterns with times: S. Konrad, B. H. C. Cheng, "Real-time Specification Patterns", ICSE 2005.

The five kinds (from memory): least and most duration, bounded recurrence, bounded response and
bounded invariance. Each is said of a part whose span is known and asked with one tick less, exactly
as much, and one tick more; where it turns is read off the formula.
"""

import pytest

from tests.outside.desk import broken

DESIGN = """
design times {
  tick 100 ms
  setting bound = 1 tick
  free ask: signal
  mains : supply(6)
  feed  : divider(ways: 3)
  mains -> feed
  lamp  : flasher(lit: 5 ticks, dark: 3 ticks)
  gate  : door(opens: 6 ticks, shuts: 2 ticks)
  keep called: flag
  called becomes yes when ask
  late  : off_delay(4 ticks)
  feed.way[1] -> lamp
  feed.way[2] -> gate
  feed.way[3] -> late
  gate.told when called
  late.start when ask

  # P, and then Q for a time: what still has to come is kept in a timer.
  keep promised: timer
  promised loads bound when ask

  claim least_duration: lamp.on lasts at least bound
  claim most_duration: lamp.on lasts at most bound
  claim bounded_recurrence: lamp.on returns within bound
  claim bounded_response: ask leads to gate.open within bound
  claim bounded_invariance: ask or promised > 0 s only while late.on
}
"""

# For which bounds each holds. The door is told a tick after the call and moves a tick after that.
LEAST = {"most_duration": 5, "bounded_recurrence": 3, "bounded_response": 1 + 1 + 6}
MOST = {"least_duration": 5, "bounded_invariance": 4}


@pytest.mark.parametrize("bound", range(2, 10))
def test_each_turns_where_its_span_says(bound: int) -> None:
    too_short = {name for name, ticks in LEAST.items() if bound < ticks}
    too_long = {name for name, ticks in MOST.items() if bound > ticks}
    assert broken(DESIGN, {"bound": f"{bound} ticks"}) == too_short | too_long
