"""Variants: their targets are met exactly where the question that they stand for says yes."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace
from random import Random

import pytest

from tests.engines.zones.oracle import afterwards, all_choices, holds, meets, starts
from tests.logic.shed import Shed
from tests.properties.plants import earliest, plant, reachable_states
from verifier.system.expr import Node
from verifier.system.model import System
from verifier.system.state import State, Step, start_of
from verifier.verdict.evidence import Act
from verifier.verdict.trace import Trace
from verifier.verdict.variant import acts_of, before, begun_at, certain, drawn, guided, patience


def test_before_is_met_where_the_target_is_in_time() -> None:
    told: Counter[bool] = Counter()
    for seed in range(80):
        system, target = plant(seed)
        first = earliest(system, target)
        for last in {0, 3} if first is None else {max(0, first - 1), first, first + 1}:
            variant = before(system, target, last)
            in_time = first is not None and first <= last
            assert meets(variant.system, variant.target) == in_time, seed
            told[in_time] += 1
    assert min(told.values()) > 20


def longest_wait(system: System, waiting: Node, most: int) -> int:
    """Return the most ticks on end that some run waits, `most` at most."""
    every = list(all_choices(system))
    layer = reachable_states(system, starts(system, anywhere=False))
    for wait in range(most):
        layer = {
            after
            for state in layer
            for choices in every
            if holds(system.allowed, state, choices) and holds(waiting, state, choices)
            for after in afterwards(system, state, choices)
        }
        if not layer:
            return wait
    return most


def test_patience_is_lost_where_a_run_waits_for_longer() -> None:
    told: Counter[bool] = Counter()
    for seed in range(60):
        system, waiting = plant(seed)
        longest = longest_wait(system, waiting, 6)
        for ticks in {0, 1, max(0, longest - 1), longest}:
            variant = patience(system, waiting, ticks)
            longer = longest > ticks or longest == 6
            assert meets(variant.system, variant.target) == longer, seed
            told[longer] += 1
    assert min(told.values()) > 20


def test_another_start_is_the_state_and_changes_nothing_else() -> None:
    for seed in range(30):
        system, _ = plant(seed)
        rng = Random(seed)
        state = State(
            tuple(rng.random() < 0.5 for _ in system.registers),
            tuple(rng.randint(0, clock.longest) for clock in system.clocks),
        )
        begun = begun_at(system, state)
        assert start_of(begun) == state
        assert begin_as(begun, start_of(system)) == system_parts(system)


def system_parts(system: System) -> tuple[object, ...]:
    return system.choices, system.registers, system.clocks, system.allowed, system.domain


def begin_as(system: System, state: State) -> tuple[object, ...]:
    return system_parts(begun_at(system, state))


def acts_at(script: tuple[Act, ...], tick: int) -> tuple[int, ...]:
    """Return the choices of a script, so many ticks after it began."""
    for act in script[:-1]:
        if tick < act.ticks:
            return act.choices
        tick -= act.ticks
    return script[-1].choices


def goes_wrong(
    system: System, goal: Node, script: tuple[Act, ...], within: int, begins: Iterable[State]
) -> bool:
    """Say whether the script, begun in some of the states, breaks an assumption or misses."""
    settled = max(within, sum(act.ticks for act in script)) + 1
    fresh = [(state, 0, False) for state in begins]
    seen = set(fresh)
    while fresh:
        state, tick, done = fresh.pop()
        choices = acts_at(script, tick)
        if not holds(system.allowed, state, choices):
            return True
        done = done or holds(goal, state, choices)
        if tick == within and not done:
            return True
        for after in afterwards(system, state, choices):
            one = (after, min(tick + 1, settled), done)
            if one not in seen:
                seen.add(one)
                fresh.append(one)
    return False


def random_scripts(seeds: int) -> Iterator[tuple[int, System, Node, tuple[Act, ...], int]]:
    """Yield random systems with a goal, a script, and a time in which it is to be met."""
    for seed in range(seeds):
        system, goal = plant(seed)
        if not system.choices:
            continue
        rng = Random(seed)
        if rng.random() < 0.5:
            goal = system.pool.not_(goal)
        every = list(all_choices(system))
        acts = [Act(rng.choice(every), rng.randint(1, 3)) for _ in range(rng.randint(1, 3))]
        acts[-1] = Act(acts[-1].choices, 1)
        script, spent = tuple(acts), sum(act.ticks for act in acts[:-1])
        within = rng.randint(max(0, spent - 1), spent + 2)
        yield seed, system, goal, script, within


def test_a_guide_is_lost_where_the_script_goes_wrong() -> None:
    told: Counter[bool] = Counter()
    for seed, system, goal, script, within in random_scripts(100):
        variant = guided(system, goal, script, within)
        begins = reachable_states(system, starts(system, anywhere=False))
        wrong = goes_wrong(system, goal, script, within, begins)
        assert meets(variant.system, variant.target) == wrong, seed
        told[wrong] += 1
    assert min(told.values()) > 12


def test_what_is_certain_is_so_from_the_start_only() -> None:
    told: Counter[bool] = Counter()
    for seed, system, goal, script, within in random_scripts(200):
        variant = certain(system, goal, script, within)
        wrong = goes_wrong(system, goal, script, within, starts(system, anywhere=False))
        assert meets(variant.system, variant.target) == wrong, seed
        told[wrong] += 1
    assert min(told.values()) > 25


def test_the_choices_of_a_run_are_a_script() -> None:
    steps = (Step((1, 0), (4,), 3), Step((0, 2), (0,), 1))
    assert acts_of(Trace(steps)) == (Act((1, 0), 3), Act((0, 2), 1))


def test_spans_come_out_at_one_end_of_their_range() -> None:
    several = 0
    for seed in range(60):
        system, _ = plant(seed)
        for longest in (True, False):
            at_end = drawn(system, longest=longest)
            assert begin_as(
                replace(at_end, clocks=system.clocks), start_of(system)
            ) == system_parts(system)
            for before_, after in zip(system.clocks, at_end.clocks, strict=True):
                assert (before_.start, before_.runs) == (after.start, after.runs)
                # Whoever begins anywhere can find it with as much as before.
                assert after.longest == before_.longest
                assert after.loads[-1].when is system.pool.no
                for one, other in zip(before_.loads, after.loads[:-1], strict=True):
                    end = one.high if longest else one.low
                    assert other == replace(one, low=end, high=end)
                    several += one.low != one.high
    assert several > 20


# --- by hand -------------------------------------------------------------------------------------


def lost(system: System, goal: Node, script: tuple[Act, ...], within: int) -> bool:
    variant = guided(system, goal, script, within)
    return meets(variant.system, variant.target)


@pytest.mark.parametrize("held", range(1, 5))
def test_each_act_is_held_for_as_long_as_it_says(held: int) -> None:
    """The goal needs two ticks of pressing, then letting go: at tick 2 of the script."""
    shed = Shed()
    pool = shed.pool
    press = shed.choice("press")
    one, two = shed.bit("one"), shed.bit("two")
    shed.becomes(one, press)
    shed.becomes(two, one)
    third = shed.bit("three")
    shed.becomes(third, two)
    goal = pool.and_(one, two, pool.not_(third), pool.not_(press))
    lets_go = Act((0,), 1)
    wait = Act((0,), 3)
    script = (wait, Act((1,), held), lets_go)
    assert lost(shed.system(), goal, script, 5) == (held != 2)
    assert lost(shed.system(), goal, script, 4)


@pytest.mark.parametrize("steps", range(4))
def test_the_goal_may_be_as_far_from_the_start_as_is_said(steps: int) -> None:
    """A row of bits that only the start is at the end of: no later state is as far away."""
    shed = Shed()
    bits = [shed.bit(f"b{place}") for place in range(steps)]
    for place, bit in enumerate(bits):
        shed.becomes(bit, bits[place - 1] if place else shed.pool.yes)
    goal = bits[-1] if bits else shed.pool.yes
    for within in range(5):
        assert lost(shed.system(), goal, (Act((), 1),), within) == (within < steps)


def test_what_is_added_is_no_part_of_the_design() -> None:
    system, target = plant(1)
    for variant in (
        before(system, target, 3),
        patience(system, target, 3),
        guided(system, target, (Act((0,) * len(system.choices), 1),), 3),
    ):
        added = variant.system
        assert not any(one.kept for one in added.registers[len(system.registers) :])
        assert not any(one.kept for one in added.clocks[len(system.clocks) :])
        assert added.domain is system.domain
