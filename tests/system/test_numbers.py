"""Numbers as thermometers against Python's own whole numbers, on every value there is."""

from collections.abc import Callable
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.system.make import Bench
from verifier.design.model import (
    Add,
    Compare,
    Fixed,
    Fold,
    HowMany,
    Num,
    Number,
    NumIf,
    Read,
    Relation,
    Scaled,
    Subtract,
)
from verifier.system.expr import reachable
from verifier.system.fold import evaluate
from verifier.system.lower import lower

RANGES = [(0, 0), (0, 1), (0, 4), (2, 5), (-3, 2), (-4, -1)]
Binary = Callable[[Num, Num], Num]


def check(make: Binary, expected: Callable[[int, int], int], bounds: tuple[int, int]) -> None:
    """Compare a term of two numbers with what it should be, on all pairs of values."""
    for one, two in product(RANGES, RANGES):
        bench = Bench()
        left, right = bench.free_number("left", *one), bench.free_number("right", *two)
        bench.net("it", Number(*bounds, units=False), make(Read(left), Read(right)))
        system = lower(bench.design())
        bits = system.shown["it"]
        for a, b in product(range(one[0], one[1] + 1), range(two[0], two[1] + 1)):
            seen = evaluate(bits.nodes, (a - one[0], b - two[0]), (), ())
            live = [seen[node.number] for node in bits.nodes]
            assert live == sorted(live, reverse=True), (one, two, a, b)
            assert bits.low + sum(live) == expected(a, b), (one, two, a, b)


def test_sums() -> None:
    check(Add, lambda a, b: a + b, (-20, 20))


def test_differences() -> None:
    check(Subtract, lambda a, b: a - b, (-20, 20))


def test_a_number_less_itself_is_nothing() -> None:
    check(lambda a, b: Add(Subtract(a, a), b), lambda _, b: b, (-20, 20))


def test_the_least_of_two() -> None:
    check(lambda a, b: NumIf(Compare(Relation.LESS, a, b), a, b), min, (-20, 20))


def test_what_is_left_after_the_least_of_two() -> None:
    def rest(a: Num, b: Num) -> Num:
        return Subtract(a, NumIf(Compare(Relation.LESS, b, a), b, a))

    check(rest, lambda a, b: a - min(a, b), (-20, 20))


def test_the_part_outside_a_range_stays_at_its_end() -> None:
    check(Add, lambda a, b: min(max(a + b, -2), 3), (-2, 3))


@pytest.mark.parametrize("by", [-3, -1, 0, 1, 2, 5])
def test_multiples(by: int) -> None:
    check(lambda a, b: Add(Scaled(Fold.TIMES, a, by), b), lambda a, b: a * by + b, (-40, 40))


@pytest.mark.parametrize("by", [1, 2, 3, 7])
def test_division_and_remainder_round_down(by: int) -> None:
    check(lambda a, b: Scaled(Fold.DIV, Add(a, b), by), lambda a, b: (a + b) // by, (-20, 20))
    check(lambda a, b: Scaled(Fold.MOD, Add(a, b), by), lambda a, b: (a + b) % by, (-20, 20))


@pytest.mark.parametrize(
    ("relation", "expected"),
    [
        (Relation.EQUAL, lambda a, b: a == b),
        (Relation.LESS, lambda a, b: a < b),
        (Relation.LESS_EQUAL, lambda a, b: a <= b),
    ],
)
def test_comparisons(relation: Relation, expected: Callable[[int, int], bool]) -> None:
    for shift in (-2, 0, 1):
        check(
            lambda a, b, shift=shift: NumIf(  # type: ignore[misc] # a default binds it now
                Compare(relation, Add(a, Fixed(shift)), b), Fixed(1), Fixed(0)
            ),
            lambda a, b, shift=shift: int(expected(a + shift, b)),  # type: ignore[misc] # a default binds it now
            (-20, 20),
        )


@pytest.mark.parametrize("count", range(7))
def test_how_many(count: int) -> None:
    bench = Bench()
    buttons = tuple(bench.button(f"b{number}") for number in range(count))
    bench.net("it", Number(0, count, units=False), HowMany(buttons))
    bits = lower(bench.design()).shown["it"]
    for pressed in product((0, 1), repeat=count):
        seen = evaluate(bits.nodes, pressed, (), ())
        assert sum(seen[node.number] for node in bits.nodes) == sum(pressed)


def _value(term: Num, values: dict[str, int]) -> int:
    match term:
        case Fixed(value):
            return value
        case Read(net):
            return values[net.path]
        case Add(left, right):
            return _value(left, values) + _value(right, values)
        case Subtract(left, right):
            return _value(left, values) - _value(right, values)
        case Scaled(Fold.TIMES, inner, by):
            return _value(inner, values) * by
        case Scaled(Fold.DIV, inner, by):
            return _value(inner, values) // by
        case Scaled(_, inner, by):
            return _value(inner, values) % by
        case NumIf(Compare(relation, left, right), then, other):
            a, b = _value(left, values), _value(right, values)
            holds = {
                Relation.EQUAL: a == b,
                Relation.LESS: a < b,
                Relation.LESS_EQUAL: a <= b,
            }[relation]
            return _value(then if holds else other, values)
        case _:
            raise AssertionError(term)


BENCH = Bench()
READS = [Read(BENCH.free_number("x", 0, 4)), Read(BENCH.free_number("y", -1, 2))]
terms: st.SearchStrategy[Num] = st.recursive(
    st.one_of(st.sampled_from(READS), st.builds(Fixed, st.integers(-2, 3))),
    lambda inner: st.one_of(
        st.builds(Add, inner, inner),
        st.builds(Subtract, inner, inner),
        st.builds(Scaled, st.just(Fold.TIMES), inner, st.integers(-2, 3)),
        st.builds(Scaled, st.sampled_from([Fold.DIV, Fold.MOD]), inner, st.integers(1, 4)),
        st.builds(NumIf, st.builds(Compare, st.sampled_from(Relation), inner, inner), inner, inner),
    ),
    max_leaves=8,
)


@given(terms)
def test_any_term_of_two_numbers(term: Num) -> None:
    bench = Bench(nets=[*BENCH.nets], free=[*BENCH.free])
    bench.net("it", Number(-30, 30, units=False), term)
    bits = lower(bench.design()).shown["it"]
    for x, y in product(range(5), range(-1, 3)):
        seen = evaluate(bits.nodes, (x, y + 1), (), ())
        expected = min(max(_value(term, {"x": x, "y": y}), -30), 30)
        assert -30 + sum(seen[node.number] for node in bits.nodes) == expected


def test_taps_in_a_row_are_picks_among_the_bits_of_the_supply() -> None:
    """Thirty-two taps of one unit on a supply of 0 to 32: no expression is made for them at all."""
    bench = Bench()
    feed = bench.keep("supply", Number(0, 32, units=False), 32)
    for place in range(32):
        arrives = Read(feed)
        enough = Compare(Relation.LESS, arrives, Fixed(1))
        side = bench.net(
            f"side {place}", Number(0, 1, units=True), NumIf(enough, arrives, Fixed(1))
        )
        feed = bench.net(f"rest {place}", Number(0, 32, units=True), Subtract(arrives, Read(side)))
    system = lower(bench.design())
    nodes = [node for bits in system.shown.values() for node in bits.nodes]
    assert len(reachable([*nodes, system.pool.no])) == 32 + 1


def test_the_ways_of_a_divider_are_picks_too() -> None:
    """What is left over goes to the first ways, one unit each (common practice, no source)."""
    bench = Bench()
    feed = bench.keep("supply", Number(0, 12, units=False), 12)
    for way in range(1, 5):
        shifted = Subtract(Add(Read(feed), Fixed(4)), Fixed(way))
        bench.net(f"way {way}", Number(0, 3, units=True), Scaled(Fold.DIV, shifted, 4))
    system = lower(bench.design())
    for supply in range(13):
        state = tuple(supply > step for step in range(12))
        shares = []
        for way in range(1, 5):
            nodes = system.shown[f"way {way}"].nodes
            seen = evaluate(nodes, (), state, ())
            shares.append(sum(seen[node.number] for node in nodes))
        assert sum(shares) == supply
        assert shares == sorted(shares, reverse=True)
        assert shares[0] - shares[-1] <= 1
    made = [node for bits in system.shown.values() for node in bits.nodes]
    assert len(reachable(made)) == 12
