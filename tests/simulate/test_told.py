"""Runs that people ask for do what was asked, tick by tick."""

import pytest

from tests.report.make import system
from verifier.simulate.told import Act, Goes, Held, NoWayError, played
from verifier.system.cone import whole
from verifier.system.model import System
from verifier.system.program import program
from verifier.system.state import start_of
from verifier.verdict.trace import Trace

WHERE = system(
    """design d {
      tick 100 ms
      rooms lawn, hall, vault
      passage lawn <-> hall
      passage hall -> vault when gate.open takes 300 ms .. 2 s
      walker guest starts in lawn
      bolt  : lever
      mains : supply(1)
      gate  : door(opens: 1 s, shuts: 1 s)
      mains -> gate
      gate.told when bolt
    }"""
)
(GUEST,) = WHERE.design.walkers
BOLT = [choice.name for choice in WHERE.choices].index("bolt.hand")


def places(where: System, run: Trace) -> list[int]:
    """Return the guest's place at every tick, in the reference simulator."""
    bits = where.shown[GUEST.place.path].nodes
    runner = program(whole(where, bits))
    at = start_of(where)
    found = []
    for step in run.steps:
        for _ in range(step.ticks):
            at, live = runner.step(at, step.choices, step.draws)
            found.append(live.index(True))
    return found


def test_a_run_is_as_long_as_asked_and_rests_without_acts() -> None:
    run = played(WHERE, [], 50)
    assert run.length == 50
    assert set(places(WHERE, run)) == {0}


def test_a_choice_is_held_as_long_as_asked() -> None:
    run = played(WHERE, [Held(BOLT, 1, 3, 7)], 10)
    held = [step.choices[BOLT] for step in run.steps for _ in range(step.ticks)]
    assert held == [0, 0, 0, 1, 1, 1, 1, 0, 0, 0]


def test_a_walker_finds_its_exit_and_spans_take_their_lowest_value() -> None:
    acts: list[Act] = [Held(BOLT, 1, 0, 1), Goes(GUEST, 1, 5), Goes(GUEST, 2, 20)]
    run = played(WHERE, acts, 40)
    found = places(WHERE, run)
    assert found[:7] == [0] * 6 + [1]
    assert found[20] == 1
    assert found[21] == 3  # between the two
    assert GUEST.ends[3] == 2
    clock = WHERE.shown[GUEST.timer.path].timer
    assert clock is not None
    assert max(step.draws[clock] for step in run.steps) == min(
        load.low for load in WHERE.clocks[clock].loads if load.low
    )


def test_a_shut_way_is_an_error() -> None:
    with pytest.raises(NoWayError, match="guest has no open way to vault then"):
        played(WHERE, [Goes(GUEST, 1, 0), Goes(GUEST, 2, 5)], 10)
