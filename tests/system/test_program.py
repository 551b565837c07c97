"""The printed program against one tick worked out by hand, and its own parts against each other."""

from dataclasses import replace

import pytest

from tests.system.bank import everything, some_steps
from tests.system.make import Bench, load
from tests.system.stepper import following, values
from verifier.design.model import Above, And, Case, Live, Not, Or
from verifier.system.cone import cone, whole
from verifier.system.expr import Node
from verifier.system.lower import lower
from verifier.system.program import RefusedStepError, program
from verifier.system.state import State, only, start_of

SYSTEM = lower(everything())


def all_roots() -> list[Node]:
    """Everything that a person or a question can see."""
    shown = [node for bits in SYSTEM.shown.values() for node in bits.nodes]
    asked = [node for one in SYSTEM.questions for node in (one.bad, one.goal, one.waiting)]
    return [*shown, *asked, SYSTEM.allowed, SYSTEM.domain]


@pytest.mark.parametrize("seed", range(5))
def test_a_step_is_one_tick(seed: int) -> None:
    run, at = program(whole(SYSTEM, all_roots())), start_of(SYSTEM)
    for step in some_steps(SYSTEM, seed, 100):
        after, seen = run.step(at, step.choices, step.draws)
        assert seen == values(at, step.choices, all_roots())
        assert after == following(SYSTEM, at, step.choices, step.draws)
        at = after


@pytest.mark.parametrize("seed", range(3))
def test_a_run_is_as_many_steps(seed: int) -> None:
    run, at = program(whole(SYSTEM)), start_of(SYSTEM)
    for step in some_steps(SYSTEM, seed, 60):
        ran = run.run(at, step)
        assert (ran.ticks, ran.met) == (step.ticks, None)
        for _ in range(step.ticks):
            at = following(SYSTEM, at, step.choices, step.draws)
        assert ran.state == at


def test_a_run_stops_at_the_first_tick_of_a_stop_and_before_that_tick_is_over() -> None:
    pool = SYSTEM.pool
    refilled = pool.and_(pool.above(0, 3), *SYSTEM.shown["held"].nodes)
    stops = [refilled, *SYSTEM.shown["empty"].nodes, pool.not_(SYSTEM.allowed)]
    run, met = program(whole(SYSTEM, stops), stops), set[int]()
    for seed in range(30):
        at = start_of(SYSTEM)
        for step in some_steps(SYSTEM, seed, 20):
            ran = run.run(at, step)
            for _ in range(ran.ticks):
                assert not any(values(at, step.choices, stops))
                at = following(SYSTEM, at, step.choices, step.draws)
            assert ran.state == at
            if ran.met is not None:
                seen = values(at, step.choices, stops)
                assert seen.index(True) == ran.met
                met.add(ran.met)
                break
            assert ran.ticks == step.ticks
    assert met == {0, 1, 2}


@pytest.mark.parametrize("place", range(len(SYSTEM.questions)))
def test_values_in_a_cone_are_those_of_the_whole(place: int) -> None:
    asked = SYSTEM.questions[place]
    part = cone(SYSTEM, [asked.bad, asked.goal, asked.waiting])
    run, at = program(part), start_of(SYSTEM)
    inside = only(part, at)
    for step in some_steps(SYSTEM, place, 200):
        inside, seen = run.step(inside, step.choices, step.draws)
        assert seen == values(at, step.choices, part.roots)
        at = following(SYSTEM, at, step.choices, step.draws)
        assert inside == only(part, at)


def test_a_cone_leaves_out_what_does_not_matter() -> None:
    bench = Bench()
    one, other = bench.button("one"), bench.button("other")
    near, far = bench.timer("near"), bench.timer("far")
    near.loads, far.loads = (load(one, 4),), (load(other, 4),)
    bench.let("on", And((Above(near, 0), Not(one))))
    bench.let("off", Or((Above(far, 0), other)))
    system = lower(bench.design())
    part = cone(system, system.shown["on"].nodes)
    assert (part.choices, part.registers, part.clocks) == ((0,), (), (0,))


def test_a_cone_follows_loads_runs_and_registers_over_any_number_of_ticks() -> None:
    bench = Bench()
    button = bench.button("button")
    first, second, third = (bench.timer(name) for name in ("first", "second", "third"))
    bench.timer("aside").loads = (load(button, 5),)
    first.loads, second.loads = (load(button, 2),), (load(Above(first, 0), 3),)
    kept = bench.keep("kept", button.net.shape, 0, [Case(Above(third, 0), button)])
    second.runs = Live(bench.net("idle", button.net.shape, Not(Live(kept))))
    third.loads = (load(button, 4),)
    system = lower(bench.design())
    part = cone(system, [system.pool.above(1, 0)])
    assert (part.choices, part.registers, part.clocks) == ((0,), (0,), (0, 1, 2))


def test_choices_and_draws_that_do_not_exist_are_refused() -> None:
    bench = Bench()
    button, timer = bench.button("button"), bench.timer("timer")
    timer.loads = (load(button, 2, 4),)
    system = lower(bench.design())
    run, at = program(whole(system)), start_of(system)
    assert run.step(at, (1,), (4,))[0] == State((), (4,))
    assert run.step(at, (0,), (99,))[0] == State((), (0,))
    strange = [((2,), (2,)), ((-1,), (2,)), ((1,), (5,)), ((1,), (1,)), ((), (2,)), ((1,), ())]
    for choices, draws in strange:
        with pytest.raises(RefusedStepError):
            run.step(at, choices, draws)


def test_names_of_things_stand_in_the_text() -> None:
    text = program(whole(SYSTEM)).source
    for name in ("# glass", "# stock > 3", "# mood is cross", "# dial: off, slow, fast"):
        assert name in text


def test_a_name_cannot_break_out_of_its_comment() -> None:
    bench = Bench()
    bench.button("b")
    system = lower(bench.design())
    choice = replace(
        system.choices[0], name="b\nraise SystemExit\r\x0craise", options=("x", "y\n1")
    )
    run = program(whole(replace(system, choices=(choice,))))
    assert run.step(start_of(system), (1,), ())[0] == State((), ())


def test_long_chains_and_wide_joins_do_not_meet_a_limit() -> None:
    bench = Bench()
    live = bench.button("start")
    buttons = [bench.button(f"b{number}") for number in range(400)]
    bench.let("wide", Or(tuple(buttons)))
    for number in range(3000):
        step = And((live, Not(buttons[number % 400])))
        live = bench.let(f"n{number}", Or((step, buttons[(number * 7) % 400])))
    design = bench.design()
    system = lower(replace(design, nets=tuple(reversed(design.nets))))
    (node,) = system.shown["n2999"].nodes
    run = program(whole(system, [node]))
    pressed = (1,) * 401
    assert run.step(start_of(system), pressed, ())[1] == (True,)


def test_one_deep_term_does_not_meet_a_limit() -> None:
    bench = Bench()
    button = bench.button("b")
    term = Not(Or((button, Not(button))))
    for _ in range(3000):
        term = Not(And((button, term)))
    bench.let("deep", term)
    assert len(lower(bench.design()).shown["deep"].nodes) == 1
