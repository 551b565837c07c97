"""Contactors that must never both be in: IEC 60204-1 cl. 9.3 and NFPA 79 (interlocks; from memory).

Reversing: each contactor's coil runs through a resting contact of the other; where the sum of two
presses is not thought of, both come in at once. Star-delta starting: star, a pause, then delta, at
no time both; that the pause is 40 ms or more is common practice, no source.
"""

import pytest

from tests.outside.desk import broken

# A contactor that takes a tick to come in or to drop out; buttons to run either way and to stop.
REVERSING = """
design reversing {
  tick 20 ms
  ahead  : button
  back   : button
  stop   : button
  west   : relay
  east   : relay
  let run_west = (ahead or west.pulled) and not stop
  let run_east = (back or east.pulled) and not stop
  west.coil when run_west WEST
  east.coil when run_east EAST
  claim apart: never west.pulled and east.pulled
  claim west_out_first: never west.pulled ends and east.pulled starts
  claim east_out_first: never east.pulled ends and west.pulled starts
  claim goes_west: possible west.pulled within 1 s
  claim goes_east: possible east.pulled within 1 s
  claim turns: always possible east.pulled within 1 s
  claim stops: stop leads to not west.pulled and not east.pulled within 1 tick
}
"""

CONTACTS = ("and not east.pulled", "and not west.pulled")
BUTTONS = ("and not back", "and not ahead")


@pytest.mark.parametrize(
    ("west", "east", "wrong"),
    [
        # Contacts alone: two presses in one tick slip through, and then neither drops out.
        (CONTACTS[0], CONTACTS[1], {"apart"}),
        # Buttons alone: one drops out and the other comes in in the same moment.
        (BUTTONS[0], BUTTONS[1], {"west_out_first", "east_out_first"}),
        (CONTACTS[0] + " " + BUTTONS[0], CONTACTS[1] + " " + BUTTONS[1], set()),
    ],
)
def test_reversing_needs_both_interlocks(west: str, east: str, wrong: set[str]) -> None:
    assert broken(REVERSING.replace("WEST", west).replace("EAST", east)) == wrong


STAR_DELTA = """
design star_delta {
  tick 20 ms
  setting pause = 60 ms
  switch : lever
  mains  : supply(4)
  feed   : divider(ways: 2)
  mains -> feed
  starts_up : on_delay(5 s)
  changes   : on_delay(pause)
  feed.way[1] -> starts_up
  feed.way[2] -> changes
  starts_up.start when switch
  changes.start when starts_up.on
  star  : relay
  delta : relay
  star.coil when switch and not starts_up.on
  delta.coil when changes.on
  let idle = not star.pulled and not delta.pulled
  claim apart: never star.pulled and delta.pulled
  claim paused: after star.pulled: idle lasts at least 40 ms
  claim star_time: star.pulled lasts at most 5 s
  claim runs: possible delta.pulled within 6 s
}
"""


@pytest.mark.parametrize(("pause", "wrong"), [("40 ms", set()), ("20 ms", {"paused"})])
def test_star_and_delta(pause: str, wrong: set[str]) -> None:
    """Switched off and on again within a moment the pause may be shorter, but it is a new start."""
    assert broken(STAR_DELTA, {"pause": pause}) == wrong
