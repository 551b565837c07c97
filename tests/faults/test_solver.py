"""Solvers that fail cost an answer at most, and never make one: a few of all faults, drawn."""

from random import Random

import pytest

from tests.faults.expected import SMALL, system_of
from tests.faults.solver import Fault, known, tried

SEED = 29
MOST = 24
"""So many faults are tried; `python -m tests.faults solvers` tries all."""


def test_answers_stay_true_when_solvers_fail() -> None:
    claims = [one for name in SMALL for one in known(system_of(name))]
    pairs = [(one, fault) for one in claims for fault in one.faults()]
    came = 0
    for one, fault in Random(SEED).sample(pairs, MOST):
        wrong, met, _ = tried(one, fault)
        came += met
        assert not wrong, f"seed {SEED}: {one.question.name}, {fault}: {wrong}"
    assert came > MOST // 2


@pytest.mark.parametrize("solver", ["z3", "cvc5"])
def test_nobody_is_said_to_agree_who_said_nothing(solver: str) -> None:
    claims = [one for one in known(system_of("vestibule_half")) if one.queries[solver]]
    assert claims
    for one in claims:
        wrong, met, found = tried(one, Fault(solver, "raises", 1, stays=True))
        assert met
        assert not wrong
        assert solver not in found.by
