"""Every engine against plants of known verdict: what it hands in is sound and says the truth."""

import dataclasses
import inspect
import time

import pytest

from tests.bank.plants import MAKERS, Plant
from tests.engines.zones.workshop import question
from verifier.engines.contract import Asked, Budget, Engine, Task
from verifier.engines.portfolio import ENGINES
from verifier.logic.judge import Case, judge
from verifier.logic.tick import Limits
from verifier.simulate.onward import completed
from verifier.system.cone import cone
from verifier.verdict.evidence import Circles, Closed, Evidence, Reaches, Stopped, Why

ALL = list({turn.engine.name: turn.engine for turn in ENGINES}.values())
PLANTS = [make() for make in MAKERS]
LIMITS = Limits(steps=20_000_000, seconds=20)

engines = pytest.mark.parametrize("engine", ALL, ids=lambda engine: engine.name)
plants = pytest.mark.parametrize("plant", PLANTS, ids=lambda plant: plant.name)


def task_for(plant: Plant, horizon: int | None = None) -> Task:
    part = cone(plant.system, [plant.target])
    asked = question(plant.target, plant.system.pool)
    return Task(part, asked, Asked.BAD, plant.target, horizon, seed=1)


def check(plant: Plant, evidence: Evidence | Stopped) -> None:
    """Check evidence against the judge and against what is known of the plant."""
    if isinstance(evidence, Stopped):
        return
    case = Case(plant.system, plant.target, anywhere=False)
    if isinstance(evidence, Reaches):
        evidence = dataclasses.replace(evidence, trace=completed(plant.system, evidence.trace))
    assert judge(case, evidence, LIMITS).ruling.sound
    match evidence:
        case Reaches(trace, earliest):
            assert plant.first is not None
            assert trace.length - 1 >= plant.first
            assert not earliest or trace.length - 1 == plant.first
        case Closed(until):
            assert plant.first is None or (until is not None and until < plant.first)
        case _:
            assert plant.first is None


@engines
@plants
def test_evidence_is_sound_and_true(engine: Engine, plant: Plant) -> None:
    check(plant, engine.run(task_for(plant), Budget.of(0.2)))


@engines
@plants
def test_evidence_stays_true_up_to_a_horizon(engine: Engine, plant: Plant) -> None:
    last = 20 if plant.first is None else plant.first
    check(plant, engine.run(task_for(plant, horizon=last), Budget.of(0.2)))
    if last:
        evidence = engine.run(task_for(plant, horizon=last - 1), Budget.of(0.2))
        if not isinstance(evidence, Reaches):
            check(plant, evidence)


@engines
def test_no_effort_no_error(engine: Engine) -> None:
    for plant in PLANTS[:4]:
        begun = time.monotonic()
        check(plant, engine.run(task_for(plant), Budget.of(0.0)))
        assert time.monotonic() - begun < 5


@engines
def test_a_cancelled_engine_stops(engine: Engine) -> None:
    budget = Budget.of(60.0)
    budget.cancelled = lambda: True
    begun = time.monotonic()
    check(PLANTS[2], engine.run(task_for(PLANTS[2]), budget))
    assert time.monotonic() - begun < 5


@engines
def test_same_seed_same_evidence(engine: Engine) -> None:
    plant = PLANTS[4]
    found = [engine.run(task_for(plant), Budget.of(0.3)) for _ in range(2)]
    assert type(found[0]) is type(found[1])
    if isinstance(found[0], Reaches):
        assert found[0] == found[1]


@engines
def test_an_engine_is_a_frozen_dataclass_that_tells_what_it_is(engine: Engine) -> None:
    assert engine.name == engine.name.strip().lower()
    assert engine.description
    options = inspect.signature(type(engine)).parameters.values()
    assert all(option.default is not option.empty for option in options)
    with pytest.raises(dataclasses.FrozenInstanceError):
        setattr(engine, "name", "other")  # noqa: B010 - plain assignment would not pass mypy


@engines
def test_what_does_not_suit_is_said(engine: Engine) -> None:
    plant = PLANTS[3]
    for asked in (Asked.WAITING, Asked.OPEN):
        task = dataclasses.replace(task_for(plant), asked=asked)
        evidence = engine.run(task, Budget.of(0.2))
        if isinstance(evidence, Stopped):
            assert evidence.words
        else:
            assert not isinstance(evidence, Reaches)


@plants
def test_some_engine_settles_it(plant: Plant) -> None:
    assert any(settles(engine.run(task_for(plant), Budget.of(1.0))) for engine in ALL)


def settles(evidence: Evidence | Stopped) -> bool:
    match evidence:
        case Stopped():
            return False
        case Closed(until):
            return until is None
        case _:
            return True


def test_an_hour_costs_no_more_than_a_second() -> None:
    """Three cycles of a lamp that burns an hour, at a tick of 10 ms: jumps, not ticks, are paid."""
    hours = next(plant for plant in PLANTS if plant.first == 4 * 360_000)
    for engine in ALL:
        if engine.name not in ("bounded jumps", "recurrence"):
            continue
        begun = time.process_time()
        evidence = engine.run(task_for(hours), Budget.of(2.0))
        assert isinstance(evidence, Reaches)
        check(hours, evidence)
        assert time.process_time() - begun < 5


def test_a_closed_cone_is_said_to_be_one() -> None:
    both = next(plant for plant in PLANTS if plant.name.startswith("both lamps"))
    found = next(one for one in ALL if one.name == "recurrence").run(task_for(both), Budget.of(1.0))
    assert isinstance(found, Circles)
    pressed = next(one for one in ALL if one.name == "recurrence").run(
        task_for(PLANTS[3]), Budget.of(1.0)
    )
    assert isinstance(pressed, Stopped)
    assert pressed.why is Why.NOT_SUITED
