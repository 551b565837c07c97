"""Delayed exit doors against NFPA 101 (Life Safety Code) 7.2.1.6.1, read in a secondary copy.

A push of at most 3 s starts a release that nothing can stop and that comes within 15 s; a fire
alarm or loss of power frees the door at once.
"""

import pytest

from tests.outside.desk import broken

DESIGN = """
design exit {
  tick 500 ms
  free outage: signal
  bar    : button
  guard  : lever
  alarm  : lever
  mains  : supply(2, drops: 0)
  feed   : divider(ways: 2)
  held   : on_delay(2 s)
  begun  : latch(wins: set)
  waits  : on_delay(WAIT)
  mains.told when not outage
  mains -> feed
  feed.way[1] -> held
  feed.way[2] -> waits
  bar -> held.start
  held.on -> begun.set
  begun.reset when RESET
  begun -> waits.start
  let unlocked = waits.on or alarm or outage

  keep push: timer
  push loads 0 s when not bar or outage, 3 s when (bar and not outage) starts
  let pushed = bar and not outage and push ends

  claim release: pushed leads to unlocked within 12 s
  claim no_way_back: begun leads to unlocked within 12500 ms
  claim at_once: alarm or outage only while unlocked
  claim shut: unlocked only while begun or alarm or outage
  claim delays: waits.on no sooner than 14 s
  claim a_push_does: possible pushed within 3 s
}
"""

RESET = "guard starts and waits.on"


def exit_door(wait: str, reset: str = RESET) -> str:
    return DESIGN.replace("WAIT", wait).replace("RESET", reset)


@pytest.mark.parametrize("wait", ["12 s", "12500 ms"])
def test_released_in_fifteen_seconds(wait: str) -> None:
    """Two seconds of pushing, the latch's tick and the wait: 14.5 s, and 15 s to the tick."""
    assert broken(exit_door(wait)) == set()


def test_released_a_tick_late() -> None:
    assert broken(exit_door("13 s")) == {"release", "no_way_back"}


def test_letting_go_must_not_stop_it() -> None:
    assert broken(exit_door("12 s", "not bar")) == {"release", "no_way_back"}
