"""Boxes of settings: which have one system with all their runs, and what is shown there at once."""

import pytest

from tests.tuning.make import holds, rig_of
from verifier.engines.decide import Effort
from verifier.tuning.dials import Setting, stand
from verifier.tuning.dials_box import served, widened
from verifier.tuning.dials_rig import Rig, question

YARD = """design yard {
  tick 100 ms
  setting span = 4 ticks tunable 1 tick .. 9 ticks
  setting first = 4 ticks tunable 1 tick .. 9 ticks
  setting limit = 4 ticks tunable 1 tick .. 9 ticks
  setting many = 3 tunable 1 .. 5
  free ask: signal
  keep wait: timer
  wait loads span when ask
  keep begun: timer = first
  begun loads span when ask
  keep spent: count 0..9
  spent becomes 1 when wait > 0 s
  claim short: wait > 0 s lasts at most 9 ticks
  claim rests: begun > 2 ticks lasts at most 9 ticks
  claim soon: possible wait > 0 s within limit
  claim free_: from anywhere: never wait > 9 ticks
  claim few: never spent > many
  claim often: always possible wait > 0 s
  claim once: always possible spent = 0
}"""


def rig() -> Rig:
    return rig_of(YARD)


def apart(place: int) -> Setting:
    at = list(stand(rig().dials))
    at[place] += 1
    return tuple(at)


def test_a_box_draws_all_that_its_settings_load() -> None:
    one = rig()
    low, high = (3, 4, 4, 3), (6, 4, 4, 3)
    system = widened(one, low, high, "short")
    assert system is not None
    loads = {clock.name: [(x.low, x.high) for x in clock.loads] for clock in system.clocks}
    assert loads["wait"] == [(3, 6)]
    assert widened(one, low, low, "short") is one.system(low)


@pytest.mark.parametrize(
    ("claim", "place", "why"),
    [
        ("rests", 1, "a timer begins elsewhere"),
        ("soon", 2, "the claim itself is another one"),
        ("few", 3, "a number is no length"),
        ("free_", 0, "states from anywhere are not those of the other settings"),
    ],
)
def test_where_more_than_lengths_differ_there_is_no_box(claim: str, place: int, why: str) -> None:
    one = rig()
    assert widened(one, stand(one.dials), apart(place), claim) is None, why


def test_no_box_where_a_corner_is_no_design() -> None:
    one = rig_of(YARD.replace("count 0..9", "count 0..many = 2"))
    assert one.system((4, 4, 4, 1)) is None
    assert widened(one, (4, 4, 4, 1), (4, 4, 4, 3), "short") is None


@pytest.mark.parametrize(("claim", "serves"), [("often", True), ("once", False)])
def test_one_plan_serves_a_box_only_where_each_setting_is_served(
    claim: str, *, serves: bool
) -> None:
    one = rig()
    low, high = (2, 4, 4, 3), (5, 4, 4, 3)
    system = widened(one, low, high, claim)
    assert system is not None
    assert served(system, question(system, claim), Effort(1.0)) is serves
    for at in (low, (3, 4, 4, 3), high):
        assert holds(one, at, [claim]) is serves
