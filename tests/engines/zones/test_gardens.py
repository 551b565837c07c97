"""Whole designs: what holds is proved, at the same price for any tick; what doesn't never is."""

from collections.abc import Callable

import pytest

from tests.bank.garden import FINE, Garden, tasks
from tests.bank.grounds import taps
from tests.bank.people import beds, lever_lock, vestibule
from tests.bank.timers import grotto, hedge_gates, ring
from verifier.engines.contract import Asked, Budget
from verifier.engines.localise import Localise
from verifier.logic.tick import Limits, judge_invariant
from verifier.system.expr import Op
from verifier.system.fold import leaves
from verifier.verdict.answer import Verdict
from verifier.verdict.evidence import Invariant

LIMITS = Limits(steps=60_000_000, seconds=30)
EFFORT = 0.6

GARDENS: tuple[Callable[[], Garden], ...] = (
    grotto,
    hedge_gates,
    lambda: hedge_gates(held="3 s"),
    lambda: hedge_gates(held="3 s", fault=True),
    lambda: lever_lock(4),
    lambda: vestibule("mended", held=True),
    lambda: vestibule("half-mended", held=True),
    lambda: ring(3, pulled=True),
    lambda: ring(8),
    lambda: beds(2),
    lambda: taps(2),
    lambda: taps(8),
)

gardens = pytest.mark.parametrize("make", GARDENS, ids=lambda make: make().name)


def provable(garden: Garden) -> set[str]:
    """Return the claims that are proved by showing that something never happens."""
    found = set()
    for name, task in tasks(garden.system(FINE)).items():
        never = Verdict.FAILS if task.asked is Asked.GOAL else Verdict.HOLDS
        if garden.verdicts[name] is never:
            found.add(name)
    return found


def proofs(garden: Garden, tick: int, names: set[str] | None = None) -> dict[str, float]:
    """Return the effort of each claim that is proved, all proofs looked at by the judge."""
    system = garden.system(tick)
    found = {}
    for name, task in tasks(system).items():
        if names is not None and name not in names:
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
    assert set(proofs(garden, FINE)) == provable(garden)


@gardens
def test_the_price_does_not_hang_on_the_tick(make: Callable[[], Garden]) -> None:
    garden = make()
    names = provable(garden)
    slow, fast = proofs(garden, garden.coarse, names), proofs(garden, FINE, names)
    assert slow.keys() == fast.keys()
    for name, effort in slow.items():
        # A button held for a single tick, as at the long one, saves a round of refinement.
        assert fast[name] < 1.6 * effort + 0.02, name


def test_a_proof_about_sixteen_levers_names_none_of_them() -> None:
    system = lever_lock(16).system(FINE)
    task = tasks(system)["stays"]
    result = Localise().run(task, Budget.of(EFFORT, patience=60.0))
    assert isinstance(result, Invariant)
    levers = {n for n, register in enumerate(system.registers) if register.name.startswith("row")}
    assert len(levers) == 32
    assert not leaves([result.node])[Op.REGISTER] & levers
