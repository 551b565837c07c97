"""Difference-bound matrices over whole numbers: convex sets of clock values.

A matrix of `size` rows is one flat list; row and column 0 stand for the constant 0, the others for
clocks. The entry at row i, column j bounds clock i - clock j from above. All clocks are bounded, so
every entry is a number; there is no infinity. A matrix is *closed* when no bound follows tighter
from two others; all functions take and give closed matrices and change none of their arguments.

Method: D. L. Dill, "Timing assumptions and verification of finite-state concurrent systems", 1989.
The reduced form is due to K. G. Larsen, F. Larsson, P. Pettersson and W. Yi, "Efficient
verification of real-time systems: compact data structure and state-space reduction", RTSS 1997.
"""

from collections.abc import Sequence
from operator import ge

Matrix = list[int]


def _lowered(row: Matrix, onward: Matrix, first: int) -> Matrix:
    """Return the row where the way over another row, `first` away, is no shorter."""
    return [
        old if old <= first + more else first + more  # noqa: FURB136 - min() takes three times as long
        for old, more in zip(row, onward, strict=True)
    ]


def boxed(bounds: Sequence[tuple[int, int]]) -> Matrix:
    """Return the set where each clock lies within its own (low, high), and no more is known."""
    sides = [(0, 0), *bounds]
    size = len(sides)
    return [0 if i == j else sides[i][1] - sides[j][0] for i in range(size) for j in range(size)]


def closed(matrix: Matrix, size: int) -> Matrix | None:
    """Return the closed form of any matrix, None where it is empty (Floyd and Warshall)."""
    cells = list(matrix)
    for via in range(size):
        onward = cells[via * size : (via + 1) * size]
        for i in range(size):
            first = cells[i * size + via]
            start = i * size
            cells[start : start + size] = _lowered(cells[start : start + size], onward, first)
    if any(cells[i * size + i] < 0 for i in range(size)):
        return None
    return cells


def tightened(matrix: Matrix, size: int, pair: tuple[int, int], bound: int) -> Matrix | None:
    """Return the part where clock pair[0] - clock pair[1] <= bound; None where there is none."""
    i, j = pair
    if matrix[i * size + j] <= bound:
        return matrix
    if matrix[j * size + i] + bound < 0:
        return None
    onward = matrix[j * size : (j + 1) * size]
    out: Matrix = []
    for row in range(size):
        first = matrix[row * size + i] + bound
        out += _lowered(matrix[row * size : (row + 1) * size], onward, first)
    return out


def selected(matrix: Matrix, size: int, rows: Sequence[int]) -> Matrix:
    """Return the same set seen only by some clocks, in the order given (row 0 first)."""
    return [matrix[i * size + j] for i in rows for j in rows]


def with_clock(matrix: Matrix, size: int, low: int, high: int) -> Matrix:
    """Return the set with one more clock as the last row, anywhere in low .. high."""
    out: Matrix = []
    for i in range(size):
        out += matrix[i * size : (i + 1) * size]
        out.append(matrix[i * size] - low)
    out += [high + bound for bound in matrix[:size]]
    out.append(0)
    return out


def elapsed(matrix: Matrix, size: int, running: Sequence[int], floors: Sequence[int]) -> Matrix:
    """Return what is met while the `running` rows count down together, none below its floor.

    `floors` goes with `running`; the set must lie above them. Exact where no other clock than the
    constant stands still, or where those that do have fixed distances; else too large.
    """
    out = list(matrix)
    still = [row for row in range(size) if row not in running]
    for row in running:
        low = min(
            matrix[other * size + row] - floor for other, floor in zip(running, floors, strict=True)
        )
        for fixed in still:
            out[fixed * size + row] = matrix[fixed * size] + low
    return out


def joined(one: Matrix, other: Matrix) -> Matrix:
    """Return the smallest matrix that covers both."""
    return list(map(max, one, other))


def covers(outer: Matrix, inner: Matrix) -> bool:
    """Whether all of `inner` lies in `outer`."""
    return all(map(ge, outer, inner))


def essential(matrix: Matrix, size: int) -> list[tuple[int, int, int]]:
    """Return a smallest list of bounds (i, j, k: clock i - clock j <= k) that gives the set."""
    heads: list[int] = []
    groups: dict[int, list[int]] = {}
    for row in range(size):
        head = next(
            (h for h in heads if matrix[h * size + row] + matrix[row * size + h] == 0), None
        )
        if head is None:
            heads.append(row)
            groups[row] = [row]
        else:
            groups[head].append(row)
    kept: list[tuple[int, int, int]] = []
    for group in groups.values():
        if len(group) > 1:
            kept += [
                (i, j, matrix[i * size + j])
                for i, j in zip(group, [*group[1:], group[0]], strict=True)
            ]
    return kept + [
        (i, j, matrix[i * size + j])
        for i in heads
        for j in heads
        if i != j
        and not any(
            matrix[i * size + via] + matrix[via * size + j] <= matrix[i * size + j]
            for via in heads
            if via not in (i, j)
        )
    ]
