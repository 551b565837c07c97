"""Which runs count, and where questions asked from anywhere start."""

from collections.abc import Iterable
from itertools import product
from pathlib import Path

import pytest

from tests.system.bank import everything, some_steps
from tests.system.looking import bits, seen
from tests.system.make import Bench, load
from tests.system.stepper import following, values
from verifier.design import files
from verifier.design.model import (
    Choice,
    Eventually,
    Flag,
    Lasts,
    Number,
)
from verifier.design.resolve import designs_in, resolve
from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.system.lower import lower
from verifier.system.model import System
from verifier.system.state import State, start_of


@pytest.mark.parametrize("count", range(1, 6))
def test_one_press_at_a_time_counts_changes_away_from_rest(count: int) -> None:
    bench = Bench(one_press=True)
    for number in range(count):
        bench.button(f"b{number}")
    bench.button("walker", is_press=False)
    system = lower(bench.design())
    states = list(product((0, 1), repeat=count + 1))
    for before, now in product(states, states):
        at = following(system, start_of(system), before, ())
        pressed = sum(b < n for b, n in zip(before[:-1], now[:-1], strict=True))
        assert values(at, now, [system.allowed]) == (pressed <= 1,)


def test_before_tick_0_nothing_is_pressed() -> None:
    bench = Bench(one_press=True)
    bench.button("a")
    bench.button("b")
    system = lower(bench.design())
    for row, allowed in [((0, 0), True), ((1, 0), True), ((1, 1), False)]:
        assert values(start_of(system), row, [system.allowed]) == (allowed,)


def test_going_from_one_option_to_another_is_a_press_and_to_the_first_is_none() -> None:
    bench = Bench(one_press=True)
    bench.free_choice("dial", ("off", "x", "y"))
    bench.free_number("knob", 3, 5)
    system = lower(bench.design())
    positions = list(product(range(3), repeat=2))
    for before, now in product(positions, positions):
        at = following(system, start_of(system), before, ())
        pressed = sum(n not in (0, b) for b, n in zip(before, now, strict=True))
        assert values(at, now, [system.allowed]) == (pressed <= 1,)


def test_without_the_option_people_may_press_together() -> None:
    bench = Bench()
    bench.button("a")
    assert lower(bench.design()).allowed.data == (1,)


def test_an_assumption_is_broken_in_the_tick_that_breaks_it() -> None:
    bench = Bench()
    button = bench.button("b")
    bench.assume(Lasts(button, 2, 3))
    system = lower(bench.design())
    assert seen(system, system.allowed, bits("1011100111100")) == "1011111111011"
    assert not any(register.kept for register in system.registers)
    assert not any(clock.kept for clock in system.clocks)


def test_an_assumption_without_a_limit_is_an_error_of_ours() -> None:
    bench = Bench()
    bench.assume(Eventually(bench.button("b"), None))
    with pytest.raises(AssertionError, match="no assumption"):
        lower(bench.design())


# --- the domain of kept values --------------------------------------------------------------------


def states(system: System) -> Iterable[State]:
    """Every combination of registers, and of clocks from 0 to one more than their longest."""
    spans = [range(clock.longest + 2) for clock in system.clocks]
    for registers in product((False, True), repeat=len(system.registers)):
        for clocks in product(*spans):
            yield State(registers, clocks)


def fitting(system: System) -> set[State]:
    rest = (0,) * len(system.choices)
    return {at for at in states(system) if values(at, rest, [system.domain])[0]}


def test_the_domain_is_every_combination_of_kept_values() -> None:
    bench = Bench()
    bench.keep("count", Number(0, 3, units=False), 0)
    bench.keep("mood", Choice(("a", "b", "c")), 0)
    bench.keep("flag", Flag(), 0)
    bench.timer("t", 2).loads = (load(bench.button("b"), 1, 4),)
    system = lower(bench.design())
    assert len(fitting(system)) == 4 * 3 * 2 * 5


def test_monitors_are_not_bound_by_the_domain() -> None:
    bench = Bench()
    bench.claim("it", Lasts(bench.button("b"), 3, None))
    system = lower(bench.design())
    assert system.domain is system.pool.yes


@pytest.mark.parametrize("seed", range(4))
def test_runs_stay_in_the_domain(seed: int) -> None:
    system = lower(everything())
    at = start_of(system)
    for step in some_steps(system, seed, 300):
        assert values(at, step.choices, [system.domain]) == (True,)
        at = following(system, at, step.choices, step.draws)


MAZE = """
design maze {
  tick 1 s
  rooms hall, yard, loft
  passage hall -> yard takes 3 s .. 4 s
  passage yard -> loft takes 1 s .. 2 s
  passage hall <-> loft
  walker guest starts in hall
}
"""


def system_of(text: str) -> System:
    collector = Collector()
    unit = files.of_source(Source("maze.latch", text), Path("maze.latch"), collector)
    assert unit is not None
    design = resolve(designs_in(unit)[0], unit, collector)
    assert design is not None, collector.found
    return lower(design)


def test_a_walker_stands_in_a_room_with_no_time_left_or_is_on_the_way_with_what_is_possible() -> (
    None
):
    system = system_of(MAZE)
    places = system.shown["guest.place"].nodes
    (clock,) = [bits.timer for bits in system.shown.values() if bits.timer is not None]
    found = set()
    for at in fitting(system):
        stands = values(at, (0,), places)
        assert sum(stands) == 1
        found.add((stands.index(True), at.clocks[clock]))
    # Set out for n ticks, the timer shows n - 1 at the next tick and 1 at the last one in between.
    on_the_way_to_yard = {(3, 1), (3, 2), (3, 3)}
    on_the_way_to_loft = {(4, 0), (4, 1)}
    assert found == {(0, 0), (1, 0), (2, 0)} | on_the_way_to_yard | on_the_way_to_loft


def test_a_walker_can_come_to_all_of_the_domain_and_nowhere_else() -> None:
    system = system_of(MAZE)
    (clock,) = system.clocks
    met, fresh = {start_of(system)}, [start_of(system)]
    while fresh:
        at = fresh.pop()
        for choice in range(len(system.choices[0].options)):
            taken = values(at, (choice,), [one.when for one in clock.loads])
            spans = [one for one, holds in zip(clock.loads, taken, strict=True) if holds]
            for draw in range(spans[0].low, spans[0].high + 1) if spans else [0]:
                after = following(system, at, (choice,), (draw,))
                if after not in met:
                    met.add(after)
                    fresh.append(after)
    assert met == fitting(system)
