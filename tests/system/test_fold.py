"""Evaluating, replacing and reading leaves, against a plain walk down each expression."""

from itertools import product
from random import Random

import pytest

from tests.engines.zones.oracle import holds
from verifier.system.expr import Node, Op, Pool, reachable
from verifier.system.fold import evaluate, fold, leaves, replaced
from verifier.system.state import State

POOL = Pool()
ATOMS = [
    *(POOL.pick(choice, option) for choice in range(2) for option in range(3)),
    *(POOL.register(index) for index in range(2)),
    *(POOL.above(clock, ticks) for clock in range(2) for ticks in (0, 2)),
    POOL.gap(0, 1, 1),
    POOL.gap(1, 0, -1),
    POOL.gap(0, 1, 0),
]


def term(rng: Random, depth: int) -> Node:
    """Return a random expression, not simplified."""
    if not depth:
        return rng.choice([*ATOMS, POOL.yes, POOL.no])
    parts = tuple(term(rng, depth - 1) for _ in range(3))
    op = rng.choice((Op.NOT, Op.AND, Op.OR, Op.IF))
    return POOL.exactly(op, parts[:1] if op is Op.NOT else parts)


@pytest.mark.parametrize("seed", range(6))
def test_values_are_those_of_a_walk_down_the_expression(seed: int) -> None:
    rng = Random(seed)
    roots = [*ATOMS, *(term(rng, depth) for depth in (1, 1, 2, 2, 3))]
    rows = product(
        product(range(3), repeat=2), product((False, True), repeat=2), range(4), range(4)
    )
    for choices, registers, one, other in rng.sample(list(rows), 60):
        seen = evaluate(roots, choices, registers, (one, other))
        assert set(seen) == {node.number for node in reachable(roots)}
        for node in reachable(roots):
            assert seen[node.number] is holds(node, State(registers, (one, other)), choices)


def test_each_node_is_visited_once_after_what_it_is_made_of() -> None:
    rng = Random(1)
    roots, order = [term(rng, 3) for _ in range(4)], []

    def visit(node: Node, args: tuple[int, ...]) -> int:
        assert args == tuple(arg.number for arg in node.args)
        order.append(node)
        return node.number

    fold(roots, visit)
    assert order == reachable(roots)
    assert len(set(order)) == len(order)
    assert set(roots) <= set(order)


def test_leaves_are_told_by_kind() -> None:
    read = leaves([POOL.exactly(Op.AND, (POOL.pick(1, 0), POOL.register(1), POOL.above(1, 2)))])
    assert read == {Op.PICK: {1}, Op.REGISTER: {1}, Op.ABOVE: {1}}
    assert leaves([POOL.gap(2, 3, 7)]) == {Op.PICK: set(), Op.REGISTER: set(), Op.ABOVE: {2, 3}}
    assert not any(leaves([POOL.yes]).values())


@pytest.mark.parametrize("seed", range(4))
def test_leaves_that_are_replaced_change_the_value_and_nothing_else(seed: int) -> None:
    """Registers are turned and other leaves kept: the same as looking at turned registers."""
    rng = Random(seed)
    roots = [*ATOMS, *(term(rng, depth) for depth in (1, 2, 2, 3))]

    def leaf(node: Node) -> Node:
        return POOL.not_(node) if node.op is Op.REGISTER else node

    made = replaced(POOL, roots, leaf)
    assert set(made) == {node.number for node in reachable(roots)}
    for one, other, clock in product((False, True), (False, True), range(4)):
        turned = State((not one, not other), (clock, 3 - clock))
        for node in roots:
            seen = evaluate([made[node.number]], (clock % 3, 1), (one, other), turned.clocks)
            assert seen[made[node.number].number] is holds(node, turned, (clock % 3, 1))
