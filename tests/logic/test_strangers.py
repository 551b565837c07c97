"""An invariant has to be made of the expressions of the system that it is said of."""

from dataclasses import replace

import pytest

from tests.bank.plants import interlock
from tests.logic.shed import LIMITS
from verifier.logic.tick import judge_invariant
from verifier.system.expr import Node, Op, Pool
from verifier.system.model import System
from verifier.verdict.ruling import Finding, Ruling


def ruled(system: System, node: Node) -> Ruling:
    """Judge an invariant that is to exclude nothing."""
    return judge_invariant(system, node, system.pool.no, LIMITS, anywhere=False)


def refused(system: System, node: Node) -> bool:
    """Whether an invariant is refused for what it is made of."""
    ruling = ruled(system, node)
    return ruling.finding is Finding.WRONG and "another system" in ruling.words


def test_an_invariant_of_expressions_of_another_system_is_refused() -> None:
    """Its numbers stand for other expressions there; one of them would pass as sound."""
    plant = interlock(yields=True)
    assert ruled(plant.system, plant.system.pool.yes).sound
    strange = Pool()
    assert refused(plant.system, strange.yes)


@pytest.mark.parametrize("own_has_more", [0, 1, 5], ids=lambda more: f"{more} more")
def test_a_stranger_is_refused_by_whatever_number_it_goes(own_has_more: int) -> None:
    # The stranger is made of nodes that both systems have, and is the next number of its own pool.
    system, other = interlock(yields=True).system, interlock(yields=True).system
    stranger = other.pool.above(10**6, 10**6)
    for ticks in range(own_has_more):
        system.pool.above(10**6 + 1, ticks)
    assert (stranger.number < len(system.pool.nodes)) is (own_has_more > 0)
    mixed = replace(stranger, op=Op.NOT, args=(system.pool.no,), data=())
    assert refused(system, stranger)
    assert refused(system, mixed)
