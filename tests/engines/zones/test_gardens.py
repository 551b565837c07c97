"""Whole designs: what holds is proved, at the same price for any tick; what doesn't never is."""

from collections.abc import Callable

import pytest

from tests.engines.zones.gardens import GARDENS, Garden, lever_lock, tasks
from verifier.engines.contract import Budget
from verifier.engines.localise import Localise
from verifier.logic.tick import Limits, judge_invariant
from verifier.system.expr import Op
from verifier.system.fold import leaves
from verifier.verdict.evidence import Invariant

LIMITS = Limits(steps=60_000_000, seconds=30)
SLOW, FAST = 1000, 10  # ticks in milliseconds
EFFORT = 0.6

gardens = pytest.mark.parametrize("make", GARDENS, ids=lambda make: make().name)


def claims(garden: Garden) -> set[str]:
    """Return the claims to try."""
    return set(tasks(garden.system(FAST)))


def proofs(garden: Garden, tick: int, names: set[str]) -> dict[str, float]:
    """Return the effort of each claim that is proved, all proofs looked at by the judge."""
    system = garden.system(tick)
    found = {}
    for name, task in tasks(system).items():
        if name not in names:
            continue
        budget = Budget.of(EFFORT, patience=60.0)
        result = Localise().run(task, budget)
        if isinstance(result, Invariant):
            assert judge_invariant(system, result.node, task.target, LIMITS, anywhere=False).sound
            found[name] = budget.used
    return found


@gardens
def test_what_holds_is_proved_and_nothing_else(make: Callable[[], Garden]) -> None:
    garden = make()
    names = claims(garden) - {"fed"}
    assert set(proofs(garden, FAST, names)) == {n for n in names if not n.startswith("fails")}


@gardens
def test_the_price_does_not_hang_on_the_tick(make: Callable[[], Garden]) -> None:
    garden = make()
    names = {name for name in claims(garden) if not name.startswith("fails")}
    slow, fast = proofs(garden, SLOW, names), proofs(garden, FAST, names)
    assert slow.keys() == fast.keys()
    for name, effort in slow.items():
        assert fast[name] < 1.6 * effort + 0.002, name


def test_a_proof_about_sixteen_levers_names_none_of_them() -> None:
    system = lever_lock(16).system(FAST)
    task = tasks(system)["not_sooner"]
    result = Localise().run(task, Budget.of(EFFORT, patience=60.0))
    assert isinstance(result, Invariant)
    levers = {n for n, register in enumerate(system.registers) if register.name.startswith("row")}
    assert len(levers) == 32
    assert not leaves([result.node])[Op.REGISTER] & levers
