"""Walks that go on from where most was right open locks that chance alone does not."""

import pytest

from tests.bank.garden import FINE
from tests.bank.people import lever_lock
from verifier.engines.contract import Budget, Task
from verifier.engines.trails import Trails, wide_conditions
from verifier.engines.walk import Walk
from verifier.simulate.onward import completed
from verifier.system.cone import cone
from verifier.verdict.evidence import Asked, Reaches, Stopped, Why
from verifier.verdict.replay import replay


def way_to(levers: int, claim: str) -> Task:
    system = lever_lock(levers).system(FINE)
    question = next(one for one in system.questions if one.name == claim)
    part = cone(system, [question.goal])
    return Task(part, question, Asked.GOAL, question.goal, question.limit, 0)


@pytest.mark.parametrize("levers", [4, 8, 16])
def test_a_lock_is_opened_with_not_a_tick_lost(levers: int) -> None:
    task = way_to(levers, "soonest")
    found = Trails().run(task, Budget.of(2.0, patience=60.0))
    assert isinstance(found, Reaches)
    trace = completed(task.cone.system, found.trace)
    assert replay(task.cone.system, trace, task.target, anywhere=False).ruling.sound
    # `soonest` allows no more than a press a tick and the two seconds of the gate.
    assert found.trace.length - 1 == 2000 // FINE + levers // 2 + 1


def test_a_random_walk_alone_does_not_open_it() -> None:
    """What the engine is for: if this fails, it may go."""
    found = Walk().run(way_to(16, "soonest"), Budget.of(1.0, patience=60.0))
    assert isinstance(found, Stopped)
    assert found.why is Why.NOTHING


def test_the_pattern_of_the_levers_is_the_widest_condition() -> None:
    task = way_to(8, "soonest")
    assert len(wide_conditions(task.cone, task.target)[0]) == 8


def test_the_same_seed_makes_the_same_run() -> None:
    one, other = (Trails().run(way_to(8, "soonest"), Budget.of(2.0, 60.0)) for _ in range(2))
    assert one == other
