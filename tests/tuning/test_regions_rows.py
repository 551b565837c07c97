"""Unknowns taken out of inequalities, against trying all whole numbers."""

import random
from itertools import product

import pytest

from verifier.tuning import regions_rows
from verifier.tuning.regions_rows import ONE, Row, found_again, plus, row, tidy, value, without

KNOWN, UNKNOWN = (0, 1), (2, 3)
REACH = range(-14, 15)


def drawn(seed: int, sizes: tuple[int, ...]) -> list[Row]:
    dice = random.Random(seed)
    rows = [
        row(
            {symbol: dice.choice(sizes) for symbol in (*KNOWN, *UNKNOWN)}
            | {ONE: dice.randint(-6, 9)}
        )
        for _ in range(dice.randint(2, 5))
    ]
    for symbol in UNKNOWN:
        rows += [row({symbol: 1, ONE: 6}), row({symbol: -1, ONE: 6})]
    return rows


def meets(rows: list[Row], one: int, other: int) -> bool:
    """Whether some unknowns meet all rows."""
    for pair in product(range(-6, 7), repeat=2):
        values = {0: one, 1: other, 2: pair[0], 3: pair[1]}
        if all(value(each, values) >= 0 for each in rows):
            return True
    return False


@pytest.mark.parametrize("seed", range(40))
def test_coefficients_of_one_lose_nothing(seed: int) -> None:
    """With all coefficients 1 or -1 and one unknown at a time the rest is exact."""
    rows = [one for one in drawn(seed, (-1, 0, 1)) if len({2, 3} & {s for s, _ in one.terms}) < 2]
    rest = without(rows, UNKNOWN)
    for one, other in product(range(-9, 10, 3), repeat=2):
        left = rest is not None and all(value(r, {0: one, 1: other}) >= 0 for r in rest.rows)
        assert left is meets(rows, one, other)


@pytest.mark.parametrize("seed", range(60))
def test_what_is_left_can_always_be_met(seed: int) -> None:
    rows = drawn(seed, (-3, -2, -1, 0, 1, 2, 3))
    rest = without(rows, UNKNOWN)
    if rest is None:
        return
    for one, other in product(range(-9, 10, 2), repeat=2):
        known = {0: one, 1: other}
        if all(value(each, known) >= 0 for each in rest.rows):
            assert meets(rows, one, other)
            values = found_again(rest.taken, known, {})
            assert values is not None
            assert all(value(each, values) >= 0 for each in rows)


def test_the_dark_shadow() -> None:
    """W. Pugh 1991: from 3 x >= a and 2 x <= b to 3 b - 2 a >= (3 - 1)(2 - 1)."""
    rest = without([row({2: 3, 0: -1}), row({2: -2, 1: 1})], [2])
    assert rest is not None
    assert rest.rows == (Row(((0, -2), (1, 3)), -2),)


def test_rows_are_rounded_to_whole_numbers() -> None:
    assert row({0: 4, 1: -2, ONE: 3}) == Row(((0, 2), (1, -1)), 1)
    assert tidy([row({ONE: -1})]) is None
    assert tidy([row({0: 1, ONE: 5}), row({0: 1, ONE: 2})]) == [Row(((0, 1),), 2)]
    assert plus((2, {0: 1}), (-1, {0: 2, 1: 1})) == {1: -1}


def test_values_are_found_again_as_near_to_the_wished_ones_as_can_be() -> None:
    """Symbol 2 lies between the known symbols 0 and 1."""
    rest = without([row({2: 1, 0: -1}), row({2: -1, 1: 1})], [2])
    assert rest is not None
    for wish, found in ((0, 3), (5, 5), (9, 7)):
        assert found_again(rest.taken, {0: 3, 1: 7}, {2: wish}) == {0: 3, 1: 7, 2: found}
    assert found_again(rest.taken, {0: 7, 1: 3}, {2: 5}) is None


def test_an_unknown_that_is_bounded_on_one_side_only() -> None:
    below = without([row({2: 1, 0: -1})], [2])
    above = without([row({2: -1, 0: 1})], [2])
    assert below is not None
    assert above is not None
    assert not below.rows
    assert not above.rows
    assert found_again(below.taken, {0: 3}, {2: 1}) == {0: 3, 2: 3}
    assert found_again(above.taken, {0: 3}, {2: 9}) == {0: 3, 2: 3}
    assert found_again(above.taken, {0: 3}, {2: 1}) == {0: 3, 2: 1}


def test_what_grows_too_large_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = [row({2: 1, 0: -at}) for at in range(1, 5)] + [row({2: -1, 1: at}) for at in range(1, 5)]
    assert without(rows, [2]) is not None
    monkeypatch.setattr(regions_rows, "MOST_ROWS", 3)
    assert without(rows, [2]) is None
