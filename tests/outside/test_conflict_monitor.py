"""The monitor of a traffic signal: NEMA TS 2, clause 4 (values from memory).

Two greens that conflict for 450 ms or longer must set it off, and for less than 200 ms must not. A
yellow shorter than 2.7 s, give or take 0.1 s, must set it off. It stays so until it is reset.
"""

import pytest

from tests.outside.desk import broken

# What they watch is free. The later timers are not the monitor's: they tell what it ought to do.
CONFLICT = """
design monitor(waits: time = 450 ms, reset_wins: flag = no) {
  tick 50 ms
  free main_green: signal
  free side_green: signal
  reset : button
  mains : supply(1)
  late  : on_delay(waits)
  mains -> late
  let conflict = main_green and side_green
  late.start when conflict
  keep tripped: flag
  tripped becomes no when reset and reset_wins, yes when late.on, no when reset

  keep since: timer
  since loads 200 ms when conflict starts
  keep before: flag
  before becomes tripped when not conflict
  keep was_reset: flag
  was_reset becomes reset

  claim must_trip: conflict and not tripped lasts at most 450 ms + 1 tick
  claim must_not: never conflict ends and since > 1 tick and tripped and not before
  claim latched: tripped ends only while was_reset
}
"""

YELLOW = """
design monitor(least: time = 2700 ms) {
  tick 50 ms
  free yellow: signal
  reset  : button
  mains  : supply(1)
  enough : on_delay(least)
  mains -> enough
  enough.start when yellow
  keep was_enough: flag
  was_enough becomes enough.on
  keep tripped: flag
  tripped becomes yes when yellow ends and not was_enough, no when reset

  keep surely_short: timer
  keep maybe_short: timer
  surely_short loads 2600 ms when yellow starts
  maybe_short loads 2800 ms when yellow starts

  claim short_trips: yellow ends and surely_short > 0 s leads to tripped within 1 tick
  claim long_passes: tripped only after yellow ends and maybe_short > 1 tick each within 1 tick
}
"""


@pytest.mark.parametrize(
    ("values", "wrong"),
    [
        # Two ticks of delay let three ticks of conflict, 150 ms, set it off.
        ({"waits": "100 ms"}, {"must_not"}),
        ({"waits": "450 ms"}, set()),
        ({"waits": "500 ms"}, {"must_trip"}),
        # A reset that is held down hides a conflict.
        ({"reset_wins": "yes"}, {"must_trip"}),
    ],
)
def test_a_conflict_sets_it_off_in_time(values: dict[str, str], wrong: set[str]) -> None:
    assert broken(CONFLICT, values) == wrong


@pytest.mark.parametrize(
    ("least", "wrong"),
    [
        ("2550 ms", {"short_trips"}),
        ("2750 ms", set()),
        ("2800 ms", {"long_passes"}),
    ],
)
def test_a_short_yellow_sets_it_off(least: str, wrong: set[str]) -> None:
    assert broken(YELLOW, {"least": least}) == wrong
