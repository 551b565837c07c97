"""Ticks looked at side by side are ticks looked at one by one.

`LATCHWORK_AHEAD=20000` tries so many random systems, `LATCHWORK_FIRST_SEED` takes others.
"""

import os
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from random import Random
from typing import Any

import pytest

from tests.properties.plants import plant
from tests.system.bank import everything
from tests.system.make import Bench, load
from tests.system.stepper import following, values
from tests.system.test_printed import glasses
from verifier.design.model import Above, Case, Flag, Not
from verifier.system import program as simulator
from verifier.system.ahead import above, ahead, as_supposed, either, source
from verifier.system.cone import cone, whole
from verifier.system.lower import lower
from verifier.system.model import Clock, System
from verifier.system.program import RefusedStepError, program
from verifier.system.state import State, Step, start_of

MANY = int(os.environ.get("LATCHWORK_AHEAD", "400"))
FIRST = int(os.environ.get("LATCHWORK_FIRST_SEED", "0"))

TEXT = """\
def ahead(registers, clocks, choices, draws, counting, width):
    every = (1 << width) - 1
    r1 = registers[1]  # held
    c1 = clocks[1]  # glass
    c2 = clocks[2]  # wait
    d2 = draws[2]  # what wait is drawn to show
    p0 = choices[0]  # go: dead, live
    p2 = choices[2]  # dial: off, slow, fast
    r1 = every if r1 else 0
    w1 = counting[1] and c1 > 0
    w2 = counting[2] and c2 > 0
    n2 = every if p0 == 1 else 0
    n5 = every if p2 == 1 else 0
    n6 = every if p2 == 2 else 0
    n14 = n5 | n6
    n15 = n2 & n14
    n9 = above(c1, 1, w1, width)
    n10 = n2 | n9
    well = every
    well &= every ^ (n9 & (every ^ r1))
    well &= every ^ r1
    well &= every ^ r1 ^ (either(n10, (above(c2, 1, w2, width)), r1))
    idle = every
    taken = idle & n15
    if w1 or max(7 - c1, 0) != c1:
        well &= every ^ taken
    idle ^= taken
    if w1:
        well &= every ^ idle | every | every ^ above(c1, 0, True, width)
    elif c1:
        well &= every ^ (idle & every)
    idle = every
    taken = idle & (n2 & (every ^ (above(c2, 0, w2, width))))
    if w2 or d2 != c2 or not 2 <= d2 <= 5:
        well &= every ^ taken
    idle ^= taken
    if w2:
        well &= every ^ idle | n10 | every ^ above(c2, 0, True, width)
    elif c2:
        well &= every ^ (idle & n10)
    return as_supposed(well)
"""


def test_a_cone_is_printed_so() -> None:
    system = glasses()
    pool = system.pool
    held = pool.register(1)
    stops = [pool.and_(pool.above(1, 1), pool.not_(held)), held]
    assert source(cone(system, [pool.above(2, 0), held, *stops]), stops) == TEXT


def test_bits_are_ticks() -> None:
    assert [above(5, least, True, 4) for least in (5, 4, 2, 0, 9)] == [0, 1, 0b111, 0b1111, 0]
    assert [above(5, least, False, 4) for least in (5, 4, 0)] == [0, 0b1111, 0b1111]
    assert either(0b1100, 0b1010, 0b0101) == 0b1001
    assert [as_supposed(well) for well in (0, 0b1110, 0b1, 0b1011, 0b111)] == [0, 0, 1, 2, 3]


def test_what_stops_where_clocks_are_compared_with_each_other_is_run_tick_by_tick() -> None:
    bench = Bench()
    first, second = bench.timer("first", 900), bench.timer("second", 400)
    second.runs = Not(Above(first, 700))
    system = lower(bench.design())
    for most, ticks in ((300, 200), (299, 601)):
        stop = system.pool.and_(
            system.pool.gap(0, 1, most), system.pool.not_(system.pool.above(0, 700))
        )
        assert ahead(whole(system, [stop]), [stop]) is None
        ran = program(whole(system, [stop]), [stop]).run(start_of(system), Step((), (0, 0), 2000))
        assert (ran.ticks, ran.met) == (ticks, 0)


def test_clocks_that_are_compared_with_each_other_are_not_printed() -> None:
    bench = Bench()
    bench.timer("first")
    bench.timer("second")
    system = lower(bench.design())
    gap = system.pool.gap(0, 1, 5)
    for stops in ([gap], [system.pool.above(0, 3), gap], [gap, system.pool.above(0, 3)]):
        assert ahead(whole(system, stops), stops) is None
        with pytest.raises(ValueError, match="compared with each other"):
            source(whole(system, stops), stops)


# Each supposition that can fail, by hand: what is seen is how many ticks go as supposed.


@pytest.mark.parametrize(
    ("pressed", "counts", "shows", "ticks"),
    [
        (0, True, 30, 50),  # counts to its end and stays there
        (0, True, 0, 50),
        (0, False, 30, 0),  # it does not stand
        (0, False, 0, 50),
        (1, True, 30, 0),  # it is set each tick
        (1, False, 30, 0),  # to something else
        (1, False, 40, 50),  # to what it shows
        (1, True, 40, 0),
    ],
)
def test_a_timer_that_is_set(pressed: int, counts: bool, shows: int, ticks: int) -> None:
    bench = Bench()
    button, timer = bench.button("button"), bench.timer("timer")
    timer.loads = (load(button, 40),)
    looks = ahead(whole(lower(bench.design())), [])
    assert looks is not None
    assert looks((), (shows,), (pressed,), (0,), (counts,), 50) == ticks


@pytest.mark.parametrize(
    ("pressed", "counts", "shows", "ticks"),
    [(0, True, 30, 50), (1, True, 30, 0), (1, False, 30, 50), (0, False, 30, 0), (1, True, 0, 50)],
)
def test_a_timer_that_is_paused(pressed: int, counts: bool, shows: int, ticks: int) -> None:
    bench = Bench()
    button, timer = bench.button("button"), bench.timer("timer", 30)
    timer.runs = Not(button)
    looks = ahead(whole(lower(bench.design())), [])
    assert looks is not None
    assert looks((), (shows,), (pressed,), (0,), (counts,), 50) == ticks


def test_a_pause_begins_while_one_looks_and_a_timer_at_its_end_does_not_mind() -> None:
    bench = Bench()
    first, second = bench.timer("first", 20), bench.timer("second", 50)
    second.runs = Above(first, 0)
    looks = ahead(whole(lower(bench.design())), [])
    assert looks is not None
    both = (True, True)
    assert looks((), (20, 50), (), (0, 0), both, 100) == 20
    assert looks((), (20, 20), (), (0, 0), both, 100) == 100
    assert looks((), (0, 50), (), (0, 0), (True, False), 100) == 100
    assert looks((), (20, 50), (), (0, 0), (True, False), 100) == 0


def test_the_first_load_that_holds_is_the_one_taken() -> None:
    bench = Bench()
    one, other, timer = bench.button("one"), bench.button("other"), bench.timer("timer")
    timer.loads = (load(one, 40), load(other, 25))
    looks = ahead(whole(lower(bench.design())), [])
    assert looks is not None
    seen = {
        (shows, pressed): looks((), (shows,), pressed, (0,), (False,), 9)
        for shows in (40, 25)
        for pressed in ((1, 0), (0, 1), (1, 1))
    }
    assert [key for key, ticks in seen.items() if ticks == 9] == [
        *[(40, (1, 0)), (40, (1, 1)), (25, (0, 1))]
    ]
    assert set(seen.values()) == {0, 9}


def test_a_turned_timer_stands_at_its_half_and_a_drawn_one_at_its_draw() -> None:
    bench = Bench()
    button = bench.button("button")
    turned, drawn = bench.timer("turned"), bench.timer("drawn")
    turned.loads, drawn.loads = (load(button, 8, turned=True),), (load(button, 5, 9),)
    looks = ahead(whole(lower(bench.design())), [])
    assert looks is not None

    def seen(half: int, shows: int, draw: int) -> int:
        return looks((), (half, shows), (1,), (0, draw), (False, False), 7)

    assert [seen(4, 5, 5), seen(4, 9, 9)] == [7, 7]
    assert [seen(3, 5, 5), seen(4, 6, 5), seen(4, 4, 4), seen(4, 10, 10)] == [0] * 4


def test_a_stop_and_a_register_end_what_goes_as_supposed() -> None:
    bench = Bench()
    timer = bench.timer("timer", 60)
    late = bench.keep("late", Flag(), 0)
    bench.change(late, Case(Not(Above(timer, 35)), Not(Above(timer, 35))))
    system = lower(bench.design())
    stop = system.pool.not_(system.pool.above(0, 45))
    for stops, ticks in (((), 25), ((stop,), 15)):
        looks = ahead(whole(system, stops), stops)
        assert looks is not None
        assert looks((False,), (60,), (), (0,), (True,), 200) == ticks
    stays = ahead(whole(system), [])
    assert stays is not None
    assert [stays((live,), (30,), (), (0,), (True,), 20) for live in (True, False)] == [20, 0]


# At random.


def slow(system: System, random: Random) -> System:
    """The same with spans some ten times as long."""

    def longer(clock: Clock) -> Clock:
        times = random.randint(5, 20)
        loads = tuple(replace(o, low=o.low * times, high=o.high * times) for o in clock.loads)
        return replace(clock, start=clock.start * times, loads=loads)

    return replace(system, clocks=tuple(map(longer, system.clocks)))


def somewhere(system: System, random: Random) -> tuple[State, Step]:
    """A state, whether it can be reached or not, and a step that can be taken in it."""
    registers = tuple(random.random() < 0.5 for _ in system.registers)
    clocks = tuple(random.choice((0, random.randint(0, one.longest))) for one in system.clocks)
    choices = tuple(random.randrange(len(one.options)) for one in system.choices)
    draws = []
    for clock, shows in zip(system.clocks, clocks, strict=True):
        wide = [one for one in clock.loads if one.low != one.high]
        spans = [random.randint(one.low, one.high) for one in wide[:1]]
        near = [shows for one in wide[:1] if one.low <= shows <= one.high]
        draws.append(random.choice([*spans, *near, 0]))
    return State(registers, clocks), Step(choices, tuple(draws), 1)


def supposed(at: State, counts: Sequence[bool], ticks: int) -> State:
    """The state after so many ticks that went as supposed."""
    clocks = zip(at.clocks, counts, strict=True)
    return State(at.registers, tuple(max(c - ticks, 0) if runs else c for c, runs in clocks))


def goes(system: System, at: State, step: Step, counts: Sequence[bool]) -> bool:
    """Whether the tick from here goes as supposed, worked out without anything printed.

    A clock that counts is not to be set, not even to what it would have shown.
    """
    for clock, shows, runs in zip(system.clocks, at.clocks, counts, strict=True):
        setting = [load.when for load in clock.loads]
        if runs and any(values(at, step.choices, setting)):
            return False
        taken = next((o for o in clock.loads if values(at, step.choices, [o.when])[0]), None)
        if taken is not None and taken.low != taken.high and not taken.low <= shows <= taken.high:
            return False
    after = following(system, at, step.choices, step.draws)
    return after == supposed(at, counts, 1)


def test_as_many_ticks_as_one_by_one_from_anywhere() -> None:
    lengths: Counter[bool] = Counter()
    for seed in range(FIRST, FIRST + MANY):
        random = Random(seed)
        system, target = plant(seed)
        system = slow(system, random)
        looks = ahead(whole(system, [target]), [target])
        assert looks is not None
        for _ in range(10):
            at, step = somewhere(system, random)
            counts = tuple(random.random() < 0.5 for _ in system.clocks)
            if random.random() < 0.9:
                for _ in range(3):  # what hangs on one another comes to rest
                    at = following(system, at, step.choices, step.draws)
                after = following(system, at, step.choices, step.draws)
                counts = tuple(b < a for a, b in zip(at.clocks, after.clocks, strict=True))
            width = random.randint(1, 90)
            seen = looks(at.registers, at.clocks, step.choices, step.draws, counts, width)
            works = tuple(a and b > 0 for a, b in zip(counts, at.clocks, strict=True))
            for tick in range(width + 1):
                now = supposed(at, counts, tick)
                if tick == width or values(now, step.choices, [target])[0]:
                    break
                if not goes(system, now, step, works):
                    break
            assert seen == tick, seed
            lengths[0 < seen < width] += 1
    assert min(lengths.values()) > MANY // 2


@pytest.mark.parametrize("burst", [(1, 1), (4, 64)])
@pytest.mark.parametrize("width", [(1, 2, 4), (64, 8, 1 << 15)])
def test_a_long_run_is_a_run_tick_by_tick(
    monkeypatch: pytest.MonkeyPatch, burst: tuple[int, int], width: tuple[int, int, int]
) -> None:
    monkeypatch.setattr(simulator, "LONG", 1)
    monkeypatch.setattr(simulator, "BURST", burst)
    monkeypatch.setattr(simulator, "WIDTH", width)
    met: Counter[int | None] = Counter()
    for seed in range(FIRST, FIRST + MANY * 3 // 8):
        random = Random(seed)
        system, target = plant(seed)
        system = slow(system, random)
        stops = (system.pool.not_(system.allowed), target) if seed % 3 else ()
        run = program(whole(system, stops), stops)
        at = start_of(system)
        for _ in range(4):
            _, step = somewhere(system, random)
            step = replace(step, ticks=random.choice((1, 2, 3, 100, random.randint(1, 500))))
            try:
                found = run.until(at.registers, at.clocks, step.choices, step.draws, step.ticks)
            except RefusedStepError:
                with pytest.raises(RefusedStepError):
                    run.run(at, step)
                continue
            ran = run.run(at, step)
            assert (ran.state, ran.ticks, ran.met) == (State(*found[:2]), *found[2:]), seed
            met[ran.met] += 1
            at = ran.state
    assert min(met[None], met[0], met[1]) > MANY // 20


def test_one_of_everything(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(simulator, "LONG", 1)
    system = lower(everything())
    stops = list(system.shown["empty"].nodes)
    run, random = program(whole(system, stops), stops), Random(3)
    at = start_of(system)
    for _ in range(300):
        _, step = somewhere(system, random)
        step = replace(step, draws=(0, random.randint(2, 5), *step.draws[2:]), ticks=40)
        found = run.until(at.registers, at.clocks, step.choices, step.draws, 40)
        ran = run.run(at, step)
        assert (ran.state, ran.ticks, ran.met) == (State(*found[:2]), *found[2:])
        at = ran.state if ran.met is None else start_of(system)


def test_an_hour_in_which_nothing_happens_is_looked_at_in_a_few_pieces() -> None:
    bench = Bench()
    bench.timer("timer", 360_000)
    system = lower(bench.design())
    stop = system.pool.not_(system.pool.above(0, 0))
    run = program(whole(system, [stop]), [stop])
    plain = list[int]()

    def counted(*given: Any) -> Any:  # noqa: ANN401 - handed on as it is
        found = program(run.cone, [stop]).until(*given)
        plain.append(found[2])
        return found

    run = replace(run, until=counted)
    assert run.run(start_of(system), Step((), (0,), 400_000)).ticks == 360_000
    assert sum(plain) < 100
