"""What a run may begin at, how long it may be, and how it must end, case by case.

The plant: `kept` follows the button, `edge` and `last` are registers that start live, `glass` is
loaded with 2 to 4 ticks by the button, `watch` starts at 2, is loaded with 3, and is not kept.
"""

from dataclasses import replace

import pytest

from tests.bank.plants import finished
from tests.engines.zones.workshop import Bench
from verifier.system.cone import cone
from verifier.system.model import Clock, Load, System
from verifier.system.state import State, Step
from verifier.verdict.replay import (
    MOST_TICKS,
    Replayed,
    follow,
    replay,
    replay_lasso,
    replay_onward,
)
from verifier.verdict.ruling import SOUND, Finding
from verifier.verdict.trace import Lasso, Trace
from verifier.verdict.variant import begun_at

REST, PRESS = Step((0,), (0, 0), 1), Step((1,), (4, 0), 1)
START = State((True, False, True), (0, 2))


def make() -> System:
    bench = Bench()
    pool = bench.pool
    pressed = bench.choice("button")
    for name, kept in (("edge", False), ("kept", True), ("last", False)):
        bit = bench.draft.register(name, start=not kept, kept=kept)
        bench.draft.becomes(bit, pressed)
    glass, watch = bench.draft.open_clock(), bench.draft.open_clock()
    bench.set_clock(glass, [(pressed, 2, 4)], pool.yes)
    load = Load(pressed, 3, 3)
    bench.draft.set_clock(watch, Clock("watch", 2, (load,), pool.yes, kept=False))
    return finished(bench)


SYSTEM = make()
POOL = SYSTEM.pool
RUNS_LONG = POOL.above(0, 3)


def from_anywhere(start: State, system: System = SYSTEM) -> Replayed:
    """Replay a press and the tick after it from a start."""
    return replay(system, Trace((PRESS, REST), start), RUNS_LONG, anywhere=True)


def test_a_run_from_the_start_ends_one_tick_after_its_last() -> None:
    for anywhere in (False, True):
        found = replay(SYSTEM, Trace((PRESS, REST)), RUNS_LONG, anywhere=anywhere)
        assert found == Replayed(SOUND, State((False, False, False), (3, 2)))


@pytest.mark.parametrize(
    "start",
    [
        START,
        State((True, True, True), (0, 2)),
        State((True, False, True), (3, 2)),
        State((True, True, True), (1, 2)),
    ],
)
def test_kept_values_may_begin_anywhere(start: State) -> None:
    assert from_anywhere(start).ruling.sound


@pytest.mark.parametrize(
    ("start", "name"),
    [
        (State((False, False, True), (0, 2)), "edge"),
        (State((True, False, False), (0, 2)), "last"),
        (State((True, False, True), (0, 1)), "watch"),
        (State((True, False, True), (0, 3)), "watch"),
        (State((True, False, True), (0, 4)), "watch"),
        (State((True, False, True), (-1, 2)), "glass cannot"),
        (State((True, False, True), (5, 2)), "glass cannot"),
    ],
)
def test_what_is_not_kept_begins_at_its_start(start: State, name: str) -> None:
    found = from_anywhere(start)
    assert found.ruling.finding is Finding.WRONG
    assert name.replace("glass", "c0") in found.ruling.words
    assert found.after is None


def test_a_clock_may_begin_at_its_longest_span() -> None:
    trace = Trace((REST,), State((True, False, True), (4, 2)))
    assert replay(SYSTEM, trace, RUNS_LONG, anywhere=True).ruling.sound
    trace = Trace((REST,), State((True, False, True), (3, 2)))
    assert not replay(SYSTEM, trace, RUNS_LONG, anywhere=True).ruling.sound


def test_a_start_lies_in_the_domain() -> None:
    kept, idle = POOL.register(1), POOL.not_(POOL.above(0, 0))
    system = replace(SYSTEM, domain=POOL.or_(POOL.not_(kept), idle))
    assert from_anywhere(State((True, True, True), (0, 2)), system).ruling.sound
    assert from_anywhere(State((True, False, True), (2, 2)), system).ruling.sound
    found = from_anywhere(State((True, True, True), (2, 2)), system)
    assert found.ruling.finding is Finding.WRONG


def test_a_start_of_its_own_needs_a_claim_from_anywhere() -> None:
    trace = Trace((PRESS, REST), START)
    assert not replay(SYSTEM, trace, RUNS_LONG, anywhere=False).ruling.sound
    assert not follow(SYSTEM, trace).ruling.sound
    elsewhere = State((True, True, True), (4, 2))
    followed = follow(SYSTEM, Trace((PRESS, REST), elsewhere), anywhere=True)
    assert followed.ruling.sound
    assert followed.after == follow(begun_at(SYSTEM, elsewhere), Trace((PRESS, REST))).after
    assert follow(SYSTEM, Trace((), elsewhere), anywhere=True).after == elsewhere
    outside = replace(SYSTEM, domain=POOL.not_(POOL.or_(*map(POOL.register, range(3)))))
    assert not follow(outside, trace, anywhere=True).ruling.sound
    part = cone(SYSTEM, [RUNS_LONG])
    lasso = Lasso(Trace((replace(REST, ticks=5),), State((True, False, True), (4, 2))), 4)
    ruling, seen = replay_lasso(part, lasso, RUNS_LONG, anywhere=True)
    assert ruling.sound
    assert seen is not None
    assert (seen.first, seen.in_loop) == (0, False)
    ruling, seen = replay_lasso(part, lasso, RUNS_LONG)
    assert ruling.finding is Finding.WRONG
    assert seen is None


@pytest.mark.parametrize("back_to", [-1, 2, 3])
def test_a_loop_begins_inside_the_run(back_to: int) -> None:
    lasso = Lasso(Trace((replace(REST, ticks=2),)), back_to)
    ruling, seen = replay_lasso(cone(SYSTEM, [RUNS_LONG]), lasso, RUNS_LONG)
    assert ruling.words == "the loop does not begin inside the run"
    assert seen is None
    assert replay_onward(SYSTEM, START, lasso) == ruling


@pytest.mark.parametrize(
    "steps",
    [
        (),
        (replace(REST, ticks=0),),
        (REST, replace(REST, ticks=0)),
        (replace(REST, ticks=2), replace(REST, ticks=-1)),
    ],
)
def test_a_run_has_ticks(steps: tuple[Step, ...]) -> None:
    found = replay(SYSTEM, Trace(steps), POOL.yes, anywhere=False)
    assert found.ruling.words == "the run has no ticks"
    part = cone(SYSTEM, [RUNS_LONG])
    for back_to in (-1, 0, 1):
        assert not replay_lasso(part, Lasso(Trace(steps), back_to), RUNS_LONG)[0].sound


def test_a_run_that_is_too_long_is_not_looked_at() -> None:
    trace = Trace((replace(REST, ticks=MOST_TICKS + 1),))
    assert replay(SYSTEM, trace, POOL.no, anywhere=False).ruling.finding is Finding.UNSURE
    assert not follow(SYSTEM, trace).ruling.sound
    part = cone(SYSTEM, [RUNS_LONG])
    assert replay_lasso(part, Lasso(trace, 5), RUNS_LONG)[0].finding is Finding.UNSURE
    assert not replay_onward(SYSTEM, START, Lasso(trace, MOST_TICKS)).sound


def test_an_assumption_counts_at_the_tick_that_meets_the_target() -> None:
    system = replace(SYSTEM, allowed=POOL.not_(RUNS_LONG))
    found = replay(system, Trace((PRESS, REST)), RUNS_LONG, anywhere=False)
    assert "assumption" in found.ruling.words
    assert found.after is None
    followed = follow(system, Trace((PRESS, REST)))
    assert "assumption" in followed.ruling.words
    assert followed.after is None
    assert follow(system, Trace((PRESS,))).ruling.sound


@pytest.mark.parametrize(
    "step",
    [Step((2,), (0, 0), 1), Step((-1,), (0, 0), 1), Step((1,), (5, 0), 1), Step((1,), (1, 0), 1)],
)
def test_choices_and_draws_that_do_not_exist_are_refused_everywhere(step: Step) -> None:
    trace = Trace((REST, step))
    assert replay(SYSTEM, trace, RUNS_LONG, anywhere=False).ruling.finding is Finding.WRONG
    assert follow(SYSTEM, trace).ruling.finding is Finding.WRONG
    ruling, seen = replay_lasso(cone(SYSTEM, [RUNS_LONG]), Lasso(trace, 0), RUNS_LONG)
    assert ruling.finding is Finding.WRONG
    assert seen is None
    asked = replace(SYSTEM, allowed=POOL.not_(POOL.and_(RUNS_LONG, POOL.register(1))))
    assert replay_onward(asked, START, Lasso(trace, 0)).finding is Finding.WRONG


def test_what_rests_outside_of_the_cone_need_not_come_back() -> None:
    """The register follows the button at once; the clock that was loaded runs on and on."""
    kept = POOL.register(1)
    lasso = Lasso(Trace((PRESS, REST, REST)), 2)
    ruling, seen = replay_lasso(cone(SYSTEM, [kept]), lasso, kept)
    assert ruling.sound
    assert seen is not None
    assert (seen.first, seen.in_loop, seen.always_in_loop) == (1, False, False)
    assert seen.longest_gap is None
    assert not replay_lasso(cone(SYSTEM, [kept, RUNS_LONG]), lasso, kept)[0].sound
