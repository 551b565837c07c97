"""The monitor of a traffic signal: NEMA TS 2, clause 4 (values from memory).

Two greens that conflict for 450 ms or longer must set it off, and for less than 200 ms must not. A
yellow shorter than 2.7 s, give or take 0.1 s, must set it off. It stays so until it is reset.
"""

import pytest

from tests.outside.desk import broken

# What it watches is free. The last timers are not the monitor's: they tell what it ought to do.
DESIGN = """
design monitor(waits: time = 300 ms, least: time = 2700 ms, reset_wins: flag = no) {
  tick 50 ms
  free main_green: signal
  free side_green: signal
  free yellow: signal
  reset  : button
  mains  : supply(4)
  feed   : divider(ways: 2)
  mains -> feed
  late   : on_delay(waits)
  enough : on_delay(least)
  feed.way[1] -> late
  feed.way[2] -> enough
  let conflict = main_green and side_green
  late.start when conflict
  enough.start when yellow
  keep was_enough: flag
  was_enough becomes enough.on
  let short = yellow ends and not was_enough
  keep by_conflict: flag
  keep by_yellow: flag
  by_conflict becomes no when reset and reset_wins, yes when late.on, no when reset
  by_yellow becomes no when reset and reset_wins, yes when short, no when reset

  keep since: timer
  since loads 200 ms when conflict starts
  keep was_reset: flag
  was_reset becomes reset
  keep before: flag
  before becomes by_conflict when not conflict
  keep surely_short: timer
  keep maybe_short: timer
  surely_short loads 2600 ms when yellow starts
  maybe_short loads 2800 ms when yellow starts

  claim must_trip: conflict and not by_conflict lasts at most 450 ms + 1 tick
  claim must_not: never conflict ends and since > 1 tick and by_conflict and not before
  claim short_trips: yellow ends and surely_short > 0 s leads to by_yellow within 1 tick
  claim long_passes: by_yellow only after yellow ends and maybe_short > 1 tick each within 1 tick
  claim latched: by_conflict ends or by_yellow ends only while was_reset
}
"""


@pytest.mark.parametrize(
    ("waits", "wrong"),
    [
        ("100 ms", {"must_not"}),
        ("150 ms", set()),
        ("450 ms", set()),
        ("500 ms", {"must_trip"}),
    ],
)
def test_a_conflict_sets_it_off_in_time(waits: str, wrong: set[str]) -> None:
    """Three ticks of delay let four ticks of conflict, 200 ms, set it off, and not three."""
    assert broken(DESIGN, {"waits": waits}) == wrong


@pytest.mark.parametrize(
    ("least", "wrong"),
    [
        ("2550 ms", {"short_trips"}),
        ("2600 ms", set()),
        ("2750 ms", set()),
        ("2800 ms", {"long_passes"}),
    ],
)
def test_a_short_yellow_sets_it_off(least: str, wrong: set[str]) -> None:
    assert broken(DESIGN, {"least": least}) == wrong


def test_a_reset_held_down_must_not_hide_a_conflict() -> None:
    assert broken(DESIGN, {"reset_wins": "yes"}) == {"must_trip", "short_trips"}
