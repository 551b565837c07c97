"""The matrices against plain sets of points."""

from itertools import product
from random import Random

import pytest

from verifier.engines.matrix import (
    Matrix,
    boxed,
    closed,
    covers,
    elapsed,
    essential,
    joined,
    selected,
    tightened,
    with_clock,
)

Point = tuple[int, ...]
TOP = 5
CLOCKS = 3
SIZE = CLOCKS + 1


def points(matrix: Matrix, size: int = SIZE) -> set[Point]:
    return {
        point
        for point in product(range(2 * TOP + 1), repeat=size - 1)
        if all(
            ((0, *point)[i] - (0, *point)[j]) <= matrix[i * size + j]
            for i in range(size)
            for j in range(size)
        )
    }


def some(seed: int) -> Matrix:
    """Return a random matrix that is closed and not empty."""
    rng = Random(seed)
    while True:
        lows = [rng.randint(0, TOP) for _ in range(CLOCKS)]
        raw = boxed([(low, rng.randint(low, TOP)) for low in lows])
        for place in range(SIZE * SIZE):
            if place % (SIZE + 1) and rng.random() < 0.3:
                raw[place] = min(raw[place], rng.randint(-TOP, TOP))
        matrix = closed(raw, SIZE)
        if matrix is not None:
            return matrix


def is_closed(matrix: Matrix, size: int = SIZE) -> bool:
    return closed(matrix, size) == matrix


seeds = pytest.mark.parametrize("seed", range(40))


@seeds
def test_a_closed_matrix_is_never_empty_and_each_bound_is_met(seed: int) -> None:
    matrix = some(seed)
    inside = points(matrix)
    assert inside
    for i, j in product(range(SIZE), repeat=2):
        most = max((0, *point)[i] - (0, *point)[j] for point in inside)
        assert most == matrix[i * SIZE + j]


@seeds
def test_tightened_is_what_meets_the_bound(seed: int) -> None:
    matrix = some(seed)
    rng = Random(seed)
    i, j = rng.sample(range(SIZE), 2)
    bound = rng.randint(-TOP, TOP)
    expected = {p for p in points(matrix) if (0, *p)[i] - (0, *p)[j] <= bound}
    part = tightened(matrix, SIZE, (i, j), bound)
    assert (set() if part is None else points(part)) == expected
    assert part is None or is_closed(part)


@seeds
def test_joined_is_the_smallest_matrix_around_both(seed: int) -> None:
    one, other = some(seed), some(seed + 1000)
    both = joined(one, other)
    assert points(one) | points(other) <= points(both)
    assert is_closed(both)
    assert covers(both, one)
    assert covers(one, other) == (points(other) <= points(one))


@seeds
def test_leaving_out_and_adding_clocks(seed: int) -> None:
    matrix = some(seed)
    assert points(selected(matrix, SIZE, [0, 3, 1]), 3) == {(p[2], p[0]) for p in points(matrix)}
    wider = with_clock(selected(matrix, SIZE, [0, 2]), 2, 1, 3)
    assert points(wider, 3) == {(p[1], n) for p in points(matrix) for n in (1, 2, 3)}
    assert is_closed(wider, 3)


@seeds
def test_all_clocks_running_is_exact(seed: int) -> None:
    matrix = some(seed)
    floors = [min(p[row] for p in points(matrix)) // 2 for row in range(CLOCKS)]
    expected = {
        tuple(x - d for x in point)
        for point in points(matrix)
        for d in range(TOP + 1)
        if all(x - d >= floor for x, floor in zip(point, floors, strict=True))
    }
    result = elapsed(matrix, SIZE, [1, 2, 3], floors)
    assert points(result) == expected
    assert is_closed(result)


@seeds
def test_a_clock_that_stands_still_is_covered(seed: int) -> None:
    matrix = some(seed)
    expected = {
        (point[0] - d, point[1], point[2] - d)
        for point in points(matrix)
        for d in range(TOP + 1)
        if point[0] - d >= 0 and point[2] - d >= 0
    }
    result = elapsed(matrix, SIZE, [1, 3], [0, 0])
    assert points(result) >= expected
    assert is_closed(result)


@seeds
def test_essential_bounds_give_the_whole_matrix_back(seed: int) -> None:
    matrix = some(seed)
    bounds = essential(matrix, SIZE)
    loose = [0 if i == j else 10 * TOP for i in range(SIZE) for j in range(SIZE)]
    for i, j, bound in bounds:
        loose[i * SIZE + j] = bound
    assert closed(loose, SIZE) == matrix
    for i, j, bound in bounds:
        fewer = list(loose)
        fewer[i * SIZE + j] = 10 * TOP
        assert closed(fewer, SIZE) != matrix, bound
