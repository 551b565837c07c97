"""Random walks: what they find, and dice that fall alike at any tick."""

import random
from dataclasses import replace

import pytest

from tests.bank.garden import FINE, Garden
from tests.bank.timers import hedge_gates
from verifier.engines.contract import Budget, Task
from verifier.engines.walk import Temper, Walk, Walker, upto
from verifier.simulate.machine import machine
from verifier.simulate.onward import completed
from verifier.system.cone import cone
from verifier.verdict.evidence import Asked, Reaches
from verifier.verdict.replay import replay
from verifier.verdict.rules import target_of


@pytest.mark.parametrize("most", [1, 2, 7, 100, 10**9])
def test_one_number_is_thrown_whatever_the_span(most: int) -> None:
    dice, other = random.Random(5), random.Random(5)
    thrown = [upto(dice, most) for _ in range(200)]
    assert thrown == [1 + int(other.random() * most) for _ in range(200)]
    assert 1 <= min(thrown) <= max(thrown) <= most


def test_each_part_of_a_span_is_as_likely() -> None:
    dice = random.Random(1)
    counts = [0] * 6
    for _ in range(6000):
        counts[upto(dice, 6) - 1] += 1
    assert min(counts) > 800
    assert max(counts) < 1200


@pytest.mark.parametrize("whole", [0.0, 1.0])
@pytest.mark.parametrize("single", [0.0, 1.0])
def test_as_much_is_thrown_whatever_comes_of_a_jump(whole: float, single: float) -> None:
    task = never(hedge_gates(held="3 s"), "even")
    follower = machine(task.cone, (task.target, task.cone.system.allowed))
    temper = replace(Temper.drawn(random.Random(0), follower.places), whole=whole, single=single)
    dice, other = random.Random(3), random.Random(3)
    walker = Walker(follower, dice, None)
    at = follower.start()
    look = follower.look(*at, follower.rest())
    walker.ticks(at, look, follower.fitted(look, walker.wishes()), temper)
    for _ in range(5):
        other.random()
    assert dice.random() == other.random()


@pytest.mark.parametrize("luck", range(3))
@pytest.mark.parametrize("claim", ["even", "again"])
@pytest.mark.parametrize("tick", [1000, FINE])
def test_a_walk_finds_a_run(claim: str, luck: int, tick: int) -> None:
    task = never(hedge_gates(held="3 s"), claim, tick)
    found = Walk(luck=luck).run(task, Budget.of(5.0, patience=60.0))
    assert isinstance(found, Reaches)
    trace = completed(task.cone.system, found.trace)
    assert replay(task.cone.system, trace, task.target, anywhere=False).ruling.sound


def never(garden: Garden, claim: str, tick: int = FINE) -> Task:
    """Return the question whether what a claim forbids ever comes."""
    system = garden.system(tick)
    question = next(one for one in system.questions if one.name == claim)
    target = target_of(question, Asked.BAD)
    return Task(cone(system, [target]), question, Asked.BAD, target, None, 0)
