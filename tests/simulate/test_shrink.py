"""Runs are made short: what is left still meets the target, and is seldom longer than needed."""

from collections.abc import Callable
from random import Random

from tests.engines.zones.workshop import Bench, task
from tests.properties.plants import earliest, plant
from verifier.engines.contract import Budget
from verifier.engines.walk import Temper, Walker, payer
from verifier.simulate.machine import Machine, machine
from verifier.simulate.onward import completed
from verifier.simulate.presses import Draw, Plan, Press, Stretch, plan_of, play, trace_of
from verifier.simulate.shrink import shrink
from verifier.system.cone import cone
from verifier.verdict.replay import replay


def walked(follower: Machine, seed: int) -> tuple[Stretch, ...] | None:
    """A run at random that meets the target; None where none was found soon."""
    walker = Walker(follower, Random(seed), None)
    budget = Budget.of(0.02)
    run = None
    while run is None and not budget.spent():
        run = walker.once(100, budget, Temper.drawn(walker.dice, follower.places))
    return run


def test_most_runs_become_as_short_as_can_be() -> None:
    optimal = found = 0
    for seed in range(250):
        system, target = plant(seed)
        part = cone(system, [target])
        follower = machine(part, (target, system.allowed))
        run = walked(follower, seed)
        if run is None:
            continue
        short = shrink(follower, run, follower.start(), payer(Budget.of(0.5)))
        before, after = (sum(one.ticks for one in row) for row in (run, short))
        assert after <= before
        trace = completed(system, trace_of(part, short))
        assert replay(system, trace, target, anywhere=False).ruling.sound, seed
        first = earliest(system, target)
        assert first is not None
        found += 1
        optimal += after == first + 1
    assert found > 60
    assert optimal / found > 0.85, (optimal, found)


def test_of_a_soonest_run_presses_are_left_out_and_no_time_is_sought() -> None:
    """The same comes of it as where time is sought too, and fewer plans are played."""
    same = found = 0
    played = [0, 0]
    for seed in range(250):
        system, target = plant(seed)
        part = cone(system, [target])
        follower = machine(part, (target, system.allowed))
        run, first = walked(follower, seed), earliest(system, target)
        if run is None or first is None or sum(one.ticks for one in run) != first + 1:
            continue

        def counts(soonest: bool) -> Callable[[float], bool]:
            def pay(effort: float) -> bool:
                played[soonest] += effort > 0
                return True

            return pay

        plans = [
            plan_of(shrink(follower, run, follower.start(), counts(way), soonest=way))
            for way in (False, True)
        ]
        assert plans[1].length == first + 1
        assert plans[1].cost <= plan_of(run).cost
        trace = completed(system, trace_of(part, play(follower, plans[1], follower.start()) or ()))
        assert replay(system, trace, target, anywhere=False).ruling.sound, seed
        found += 1
        same += plans[0].cost == plans[1].cost
    assert found > 40
    assert same == found
    assert played[True] < played[False] / 2, played


def test_where_nothing_is_pressed_or_drawn_there_is_nothing_to_leave_out() -> None:
    bench = Bench()
    lamp = bench.timer(bench.pool.not_, 30)
    system = bench.system()
    follower = machine(cone(system, [lamp]), (lamp, system.allowed))
    run = play(follower, Plan(9, (), ()), follower.start())
    assert run is not None

    def pay(effort: float) -> bool:
        raise AssertionError(effort)

    assert shrink(follower, run, follower.start(), pay) == run


def test_presses_tell_a_run() -> None:
    run = (Stretch(2, (0, 1), (-1,)), Stretch(3, (2, 1), (4,)), Stretch(1, (2, 0), (-1,)))
    plan = plan_of(run)
    assert plan.length == 6
    assert set(plan.presses) == {Press(0, 5, 1, 1), Press(2, 6, 0, 2)}
    assert plan.draws == (Draw(2, 0, 4),)


def test_a_plan_without_a_meeting_is_none() -> None:
    system, target = plant(0)
    nothing = system.pool.no
    del target
    follower = machine(task(system, nothing).cone, (nothing, system.allowed))
    assert play(follower, Plan(30, (), ()), follower.start()) is None
