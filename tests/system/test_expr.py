"""Simplifying never changes what an expression says."""

from collections.abc import Callable
from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from verifier.system.expr import SPREAD, Node, Op, Pool, reachable
from verifier.system.fold import evaluate

LETTERS = 4
POOL = Pool()
Meaning = Callable[[tuple[bool, ...]], bool]
Both = tuple[Node, Meaning]

leaves: st.SearchStrategy[Both] = st.one_of(
    st.integers(0, LETTERS - 1).map(lambda n: (POOL.register(n), lambda row: row[n])),
    st.sampled_from([(POOL.no, lambda _: False), (POOL.yes, lambda _: True)]),
)


def turned(inner: Both) -> Both:
    return POOL.not_(inner[0]), lambda row: not inner[1](row)


def all_of(parts: list[Both]) -> Both:
    return POOL.and_(*(node for node, _ in parts)), lambda row: all(one(row) for _, one in parts)


def any_of(parts: list[Both]) -> Both:
    return POOL.or_(*(node for node, _ in parts)), lambda row: any(one(row) for _, one in parts)


def either(parts: tuple[Both, Both, Both]) -> Both:
    (a, first), (b, second), (c, third) = parts
    return POOL.if_(a, b, c), lambda row: second(row) if first(row) else third(row)


terms: st.SearchStrategy[Both] = st.recursive(
    leaves,
    lambda inner: st.one_of(
        inner.map(turned),
        st.lists(inner, max_size=4).map(all_of),
        st.lists(inner, max_size=4).map(any_of),
        st.tuples(inner, inner, inner).map(either),
    ),
    max_leaves=16,
)


@given(terms)
def test_an_expression_says_what_it_was_made_of(term: Both) -> None:
    node, meaning = term
    for row in product((False, True), repeat=LETTERS):
        assert evaluate([node], (), row, ())[node.number] == meaning(row)


@given(terms)
def test_no_node_could_be_simpler_by_itself(term: Both) -> None:
    for node in reachable([term[0]]):
        assert node.op is Op.CONST or not {POOL.no, POOL.yes} & set(node.args)
        assert len(set(node.args)) == len(node.args)
        assert node.op is not Op.NOT or node.args[0].op is not Op.NOT


def test_equal_expressions_are_one_object() -> None:
    pool = Pool()
    a, b, c = (pool.register(number) for number in range(3))
    assert pool.and_(a, pool.and_(b, c)) is pool.and_(pool.and_(c, a), b)
    assert pool.if_(pool.not_(a), b, c) is pool.if_(a, c, b)
    assert pool.or_(a, pool.and_(a, b)) is a
    assert pool.and_(a, pool.or_(b, a)) is a
    assert pool.and_(b, pool.or_(b, a)) is b
    assert pool.and_(a, pool.if_(a, b, c)).args == (a, pool.if_(a, b, c))
    assert (pool.and_(), pool.or_()) == (pool.yes, pool.no)
    assert (pool.and_(pool.yes), pool.or_(pool.no)) == (pool.yes, pool.no)
    assert pool.and_(a, pool.not_(a)) is pool.no
    assert pool.or_(a, pool.not_(a)) is pool.yes


def test_a_choice_between_two_is_written_as_plainly_as_it_can_be() -> None:
    pool = Pool()
    a, b, c = (pool.register(number) for number in range(3))
    assert pool.if_(pool.yes, b, c) is b
    assert pool.if_(pool.no, b, c) is c
    assert pool.if_(a, b, b) is b
    assert pool.if_(a, pool.yes, c) is pool.or_(a, c)
    assert pool.if_(a, a, c) is pool.or_(a, c)
    assert pool.if_(a, pool.no, c) is pool.and_(pool.not_(a), c)
    assert pool.if_(a, b, pool.no) is pool.and_(a, b)
    assert pool.if_(a, b, a) is pool.and_(a, b)
    assert pool.if_(a, b, pool.yes) is pool.or_(pool.not_(a), b)
    assert (pool.if_(a, b, c).op, pool.if_(a, b, c).args) == (Op.IF, (a, b, c))


def test_leaves_say_what_they_read_and_are_folded_where_they_always_hold_or_never() -> None:
    pool = Pool()
    assert pool.above(1, -1) is pool.yes
    assert (pool.above(1, 0).op, pool.above(1, 0).data) == (Op.ABOVE, (1, 0))
    assert (pool.pick(2, 1).op, pool.pick(2, 1).data) == (Op.PICK, (2, 1))
    assert pool.gap(1, 1, 0) is pool.yes
    assert pool.gap(1, 1, -1) is pool.no
    assert (pool.gap(2, 1, -3).op, pool.gap(2, 1, -3).data) == (Op.GAP, (2, 1, -3))


def test_constants_are_the_first_two_and_texts_are_read_back_as_they_are() -> None:
    pool = Pool()
    a = pool.register(0)
    assert (pool.const([]), pool.const([0])) == (pool.no, pool.yes)
    assert (pool.not_(pool.no), pool.not_(pool.yes)) == (pool.yes, pool.no)
    twice = pool.exactly(Op.NOT, (pool.exactly(Op.NOT, (a,)),))
    assert [repr(node) for node in pool.nodes] == [
        *("#0:const(0)", "#1:const(1)", "#2:register(0)", "#3:not(#2)", "#4:not(#3)"),
    ]
    assert reachable([twice, a]) == pool.nodes[2:]


def test_what_is_used_often_is_gone_through_once() -> None:
    """There are a million million ways down from the top to the bottom."""
    pool = Pool()
    node = pool.register(0)
    for number in range(1, 41):
        node = pool.if_(pool.register(number), node, pool.not_(node))
    assert len(reachable([node, node])) == 1 + 40 * 3


def test_arguments_stand_in_the_order_of_their_numbers() -> None:
    pool = Pool()
    a, b, c = (pool.register(number) for number in range(3))
    assert pool.and_(c, a, b).args == (a, b, c)


def test_a_list_that_is_just_short_enough_is_taken_over() -> None:
    pool = Pool()
    last = pool.register(99)
    for length, expected in ((SPREAD, SPREAD + 1), (SPREAD + 1, 2)):
        parts = [pool.register(number) for number in range(length)]
        assert len(pool.or_(last, pool.or_(*parts)).args) == expected
        assert len(pool.and_(last, pool.or_(*parts)).args) == 2


def test_a_long_list_inside_a_list_is_left_whole_and_loses_nothing() -> None:
    pool = Pool()
    many = [pool.register(number) for number in range(SPREAD + 2)]
    for join, neutral in ((pool.or_, False), (pool.and_, True)):
        whole = join(many[0], join(*many))
        for index in range(len(many)):
            row = [neutral] * len(many)
            row[index] = not neutral
            assert evaluate([whole], (), row, ())[whole.number] is not neutral


def test_a_chain_of_joins_costs_no_more_than_its_length() -> None:
    pool = Pool()
    node = pool.register(0)
    for number in range(1, 2000):
        node = pool.or_(node, pool.register(number))
    assert sum(len(one.args) for one in pool.nodes) < 2000 * (SPREAD + 2)
