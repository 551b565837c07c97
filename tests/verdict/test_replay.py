"""Replay believes nothing: what is not a run of the system is refused, with the reason."""

from dataclasses import replace

import pytest

from tests.bank.plants import interlock, lamp_both, lamp_cycle, lucky, polite
from verifier.system.cone import cone
from verifier.verdict.replay import Gap, replay, replay_lasso
from verifier.verdict.ruling import Finding
from verifier.verdict.trace import Lasso, State, Step, Trace


def rest(plant_choices: int, clocks: int, ticks: int) -> Step:
    return Step((0,) * plant_choices, (0,) * clocks, ticks)


def test_a_run_of_hours_is_replayed_tick_by_tick() -> None:
    lamp = lamp_cycle(360_000)
    trace = Trace((rest(0, 2, 1_440_001),))
    found = replay(lamp.system, trace, lamp.target, anywhere=False)
    assert found.ruling.sound
    assert found.after is not None


def test_the_meeting_must_be_at_the_last_tick() -> None:
    door = interlock(yields=False)
    both, none = Step((1, 1), (0, 0), 1), Step((0, 0), (0, 0), 1)
    assert replay(door.system, Trace((both, none)), door.target, anywhere=False).ruling.sound
    early = replay(door.system, Trace((both, none, none)), door.target, anywhere=False)
    assert early.ruling.finding is Finding.WRONG
    late = replay(door.system, Trace((both,)), door.target, anywhere=False)
    assert "does not meet" in late.ruling.words


def test_an_assumption_must_be_kept_at_each_tick() -> None:
    plant = polite()
    trace = Trace((Step((1, 1), (), 1), Step((0, 0), (), 1)))
    found = replay(plant.system, trace, plant.target, anywhere=False)
    assert "breaks an assumption" in found.ruling.words


def test_a_draw_must_be_in_its_range() -> None:
    plant = lucky(4, 9, 8, 9)
    go, wait = Step((1,), (9, 0), 1), Step((0,), (0, 0), 9)
    assert replay(plant.system, Trace((go, wait)), plant.target, anywhere=False).ruling.sound
    lie = replace(go, draws=(10, 0))
    found = replay(plant.system, Trace((lie, wait)), plant.target, anywhere=False)
    assert found.ruling.finding is Finding.WRONG


@pytest.mark.parametrize("clocks", [(6, 0), (-1, 0)])
def test_a_start_must_be_one_that_clocks_can_show(clocks: tuple[int, int]) -> None:
    plant = lamp_both(5)
    trace = Trace((rest(0, 2, 1),), State((), clocks))
    found = replay(plant.system, trace, plant.target, anywhere=True)
    assert found.ruling.finding is Finding.WRONG


def test_an_endless_run_must_come_back() -> None:
    plant = lamp_cycle(5)
    part = cone(plant.system, [plant.target])
    burning = plant.system.pool.above(0, 0)
    lasso = Lasso(Trace((rest(0, 2, 31),)), 21)
    ruling, seen = replay_lasso(part, lasso, burning, anywhere=False)
    assert ruling.sound
    assert seen is not None
    assert (seen.first, seen.in_loop, seen.always_in_loop) == (0, True, False)
    assert seen.longest_gap == Gap(5, 5)
    for back_to in (20, 22, 31, -1):
        ruling, _ = replay_lasso(part, replace(lasso, back_to=back_to), burning, anywhere=False)
        assert ruling.finding is Finding.WRONG
