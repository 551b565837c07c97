"""Shapes of runs: which runs have none, and that each region told by one keeps its word."""

from dataclasses import replace
from itertools import product

import pytest

from tests.report.make import trace
from tests.tuning.make import rig_of
from verifier.system.state import start_of
from verifier.tuning import regions_shape
from verifier.tuning.dials import Setting, stand
from verifier.tuning.dials_frame import Frames
from verifier.tuning.dials_rig import Rig, question
from verifier.tuning.regions import Region, met, point, region, resting_is_allowed, samples
from verifier.tuning.regions_shape import NoShapeError, shape
from verifier.verdict.trace import Trace

TEXT = """design yard {
  tick 100 ms
  setting one = 3 ticks tunable 1 tick .. 6 ticks
  setting two = 2 ticks tunable 1 tick .. 6 ticks
  free ask: signal
  free call: signal
  keep first: timer
  first loads one when ask
  keep second: timer
  second loads two when call and first = 0 s
  keep armed: flag
  armed becomes yes when ask, no when call and second > 0 s
  let either = (first > 0 s when armed else second > 0 s)
  mains : supply(2)
  gate : door(opens: two, shuts: two)
  mains -> gate
  gate.told when armed
  claim apart: never first > 0 s and second > 0 s
  claim over: never second > 1 tick and armed
  claim both: never either and second > 0 s
  claim held: never first > 1 tick and armed
  claim open_: never gate.open and not armed
}"""
Steps = tuple[tuple[int, dict[str, int]], ...]
ASK, CALL = {"ask": 1}, {"call": 1}


def made(*steps: tuple[int, dict[str, int]]) -> tuple[Rig, Trace]:
    rig = rig_of(TEXT)
    return rig, trace(rig.made(stand(rig.dials)), *steps)


@pytest.mark.parametrize(
    ("claim", "steps"),
    [
        ("apart", ((1, ASK), (4, {}), (1, CALL), (1, ASK), (1, {}))),
        ("over", ((1, ASK), (5, {}), (1, CALL), (1, {}))),
        ("both", ((1, CALL), (1, {}))),
        ("both", ((1, ASK), (5, {}), (1, CALL), (1, ASK), (1, {}))),
        ("held", ((4, ASK), (1, {}))),
        ("held", ((3, ASK),)),
    ],
)
def test_a_region_holds_just_where_a_run_of_its_shape_gets_there(claim: str, steps: Steps) -> None:
    rig, run = made(*steps)
    at = stand(rig.dials)
    system = rig.made(at)
    bad = question(system, claim).bad
    assert met(system, bad, run) is not None
    found = region(Frames(rig).around(at), system, bad, run, at)
    assert found.holds(at)
    assert found.recipe is not None
    told = {there for there in product(range(1, 7), repeat=2) if found.holds(there)}
    assert len(told) > 1
    for there in told:
        other = rig.made(there)
        assert found.run(other, question(other, claim).bad, there) is not None
    assert set(samples(found)) <= told - {at}


def test_runs_without_a_shape(monkeypatch: pytest.MonkeyPatch) -> None:
    rig, run = made((1, ASK), (5, {}), (1, CALL), (1, {}))
    system = rig.made(stand(rig.dials))
    bad = question(system, "over").bad
    with pytest.raises(NoShapeError, match="does not meet its target"):
        shape(system, bad, Trace(run.steps[:2]))
    with pytest.raises(NoShapeError, match="begins anywhere"):
        shape(system, bad, Trace(run.steps, start_of(system)))
    monkeypatch.setattr(regions_shape, "MOST_JUMPS", 2)
    with pytest.raises(NoShapeError, match="too long"):
        shape(system, bad, run)


def test_a_door_that_is_turned_round_has_no_shape() -> None:
    turned: Steps = ((1, ASK), (1, {}), (3, CALL), (1, ASK), (4, {}), (1, CALL), (3, {}))
    rig, run = made(*turned)
    at = stand(rig.dials)
    system = rig.made(at)
    bad = question(system, "open_").bad
    found = region(Frames(rig).around(at), system, bad, run, at)
    assert (found.low, found.high) == (at, at)


def test_where_nothing_is_known_a_region_is_one_setting() -> None:
    rig, run = made((1, ASK), (5, {}), (1, CALL), (1, {}))
    at: Setting = stand(rig.dials)
    system = rig.made(at)
    bad = question(system, "over").bad
    alone = region(None, system, bad, run, at)
    assert [there for there in product(range(1, 7), repeat=2) if alone.holds(there)] == [at]
    assert alone.run(system, bad, at) is None
    assert samples(alone) == []


def test_a_run_that_does_not_count_is_not_met_and_draws_are_those_there_are() -> None:
    text = TEXT.replace("  claim apart", "  assume never ask and call\n  claim apart")
    rig = rig_of(text.replace("first loads one when", "first loads one .. one + 2 ticks when"))
    system = rig.made(stand(rig.dials))
    bad = question(system, "over").bad
    fine: Steps = ((1, ASK), (5, {}), (1, CALL), (1, {}))
    assert met(system, bad, trace(system, *fine)) is not None
    assert met(system, bad, trace(system, (1, ASK | CALL), *fine)) is None
    drawn = [replace(step, draws=(99,) * len(system.clocks)) for step in trace(system, *fine).steps]
    told = met(system, bad, Trace(tuple(drawn)))
    assert told is not None
    assert told.steps[0].draws == (5, 0, 0)


def test_a_region_whose_shape_is_not_of_the_run_is_not_met() -> None:
    rig, run = made((3, {}))
    system = rig.made(stand(rig.dials))
    assert met(system, question(system, "over").bad, run) is None


@pytest.mark.parametrize(
    ("assumed", "allowed"),
    [
        ("  assume never ask and call\n", True),
        ("  assume ask returns within 1 s\n", False),
        ("", True),
    ],
)
def test_a_run_that_rests_may_go_on_only_where_the_assumptions_let_it(
    assumed: str, *, allowed: bool
) -> None:
    rig = rig_of(TEXT.replace("  claim apart", f"{assumed}  claim apart"))
    assert resting_is_allowed(rig.made(stand(rig.dials))) is allowed


def test_points() -> None:
    one = point((3, 2))
    assert isinstance(one, Region)
    assert one.holds((3, 2))
    assert not one.holds((3, 3))
