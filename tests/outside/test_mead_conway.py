"""The traffic light controller of C. Mead, L. Conway, "Introduction to VLSI Systems", 1980, 3.11.

Its table, from memory: a highway keeps its green until a car waits on the farm road and the long
time is over; yellow for the short time; the farm road has green as long as cars come, at most the
long time; yellow for the short time. Each change starts both timers anew.
"""

import pytest

from tests.outside.desk import broken

DESIGN = """
design lights {
  tick 500 ms
  setting long = 20 s
  setting short = 4 s
  free cars: signal
  keep at: one of (highway_green, highway_yellow, farm_green, farm_yellow)
  keep long_left: timer = 20 s
  keep short_left: timer = 4 s
  let tl = long_left <= 1 tick
  let ts = short_left <= 1 tick
  at becomes
    highway_yellow when at is highway_green and HIGHWAY,
    farm_green when at is highway_yellow and ts,
    farm_yellow when at is farm_green and (FARM),
    highway_green when at is farm_yellow and ts
  let start_timers =
    at is highway_green and HIGHWAY or at is farm_green and (FARM)
    or (at is highway_yellow or at is farm_yellow) and ts
  long_left loads long when start_timers
  short_left loads short when start_timers

  let highway = at is highway_green
  let farm = at is farm_green
  let yellow = at is highway_yellow or at is farm_yellow
  claim highway_long: highway lasts at least long
  claim highway_again: highway returns within long + 2 * short
  claim farm_long: farm lasts at most long
  claim yellow_short: yellow lasts short
  claim yellow_between: from highway until farm: not highway lasts at least short
  claim patience: cars and not farm lasts at most long + 2 * short
  claim empty_road: farm and not cars lasts at most 1 tick
  claim a_car_gets_green: possible farm within long + short
  claim no_car_no_green: farm only after cars
}
"""


@pytest.mark.parametrize(
    ("highway", "farm", "wrong"),
    [
        ("cars and tl", "not cars or tl", set()),
        # The long time is not waited for, and cars that come without end keep the farm road green.
        ("cars", "not cars", {"highway_long", "highway_again", "farm_long"}),
        # Nobody looks whether a car is there.
        ("tl", "tl", {"no_car_no_green", "empty_road"}),
    ],
)
def test_the_table_and_slips_in_it(highway: str, farm: str, wrong: set[str]) -> None:
    assert broken(DESIGN.replace("HIGHWAY", highway).replace("FARM", farm)) == wrong
