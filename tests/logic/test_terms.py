"""Choices as binary digits and expressions as terms, against what they stand for."""

from itertools import product

import pytest

from verifier.logic.native import Result, Room, Term
from verifier.logic.terms import encode, fixed_option, options
from verifier.system.expr import Node, Op, Pool, reachable
from verifier.system.fold import evaluate


@pytest.mark.parametrize("count", range(1, 10))
def test_exactly_the_options_of_a_choice_can_be_taken(count: int) -> None:
    with Room() as room:
        choice = options(room, count)
        assert len(choice.digits) == (count - 1).bit_length()
        assert len(choice.taken) == count
        met = []
        while room.check() is Result.SAT:
            model = room.model()
            chosen = choice.chosen(model)
            assert [model.flag(one) for one in choice.taken] == [
                option == chosen for option in range(count)
            ]
            met.append(chosen)
            room.claim(room.not_(choice.taken[chosen]))
        assert sorted(met) == list(range(count))


@pytest.mark.parametrize(("count", "option"), [(1, 0), (2, 1), (5, 0), (5, 3), (5, 4), (8, 7)])
def test_a_choice_that_is_known_stands_at_its_option(count: int, option: int) -> None:
    with Room() as room:
        choice = fixed_option(room, count, option)
        assert len(choice.digits) == (count - 1).bit_length()
        assert room.check() is Result.SAT
        assert choice.chosen(room.model()) == option
        assert choice.taken == tuple(room.const(one == option) for one in range(count))


def test_each_operator_says_in_the_solver_what_it_says_elsewhere() -> None:
    pool = Pool()
    a, b, c = (pool.register(number) for number in range(3))
    roots = [
        pool.and_(a, b, c),
        pool.or_(a, b, c),
        pool.not_(a),
        pool.if_(a, b, c),
        pool.exactly(Op.AND, (a, pool.exactly(Op.CONST, (), (1,)))),
        pool.exactly(Op.OR, (a, pool.exactly(Op.CONST, (), (0,)))),
    ]
    for row in product((False, True), repeat=3):
        with Room() as room:

            def leaf(node: Node, room: Room = room, row: tuple[bool, ...] = row) -> Term:
                return room.const(row[node.data[0]])

            made = encode(room, reachable(roots), leaf, {})
            values = evaluate(roots, (), row, ())
            for root in roots:
                assert made[root.number] == room.const(values[root.number])


def test_what_is_not_among_the_nodes_is_taken_from_what_is_known() -> None:
    pool = Pool()
    both = pool.and_(pool.register(0), pool.register(1))
    with Room() as room:
        known = {arg.number: room.flag() for arg in both.args}
        made = encode(room, [both], lambda node: pytest.fail(f"asked for {node}"), known)
        assert made == {both.number: room.and_(known.values())}
