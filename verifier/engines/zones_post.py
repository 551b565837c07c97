"""Where a tick leads clocks: from the regions of a key and a matrix to regions and matrices.

A matrix has row 0 for the constant and one row for each kept clock that is above 0, in the order of
the dials; clocks at 0 are known from the key. Within a key no clock that runs can be at 0, so a
tick moves all points of a matrix alike, and the only cases are the regions they come to lie in.

Where a tick leads back to the key it came from, the same tick can be taken again and again: all
that is met so before some clock comes to the edge of its region is added at once, at the price of
one step. So the cost hangs on how often something happens, not on how long a tick is.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from verifier.engines.matrix import Matrix, elapsed, selected, tightened, with_clock
from verifier.engines.zones_frame import Dial, Frame
from verifier.engines.zones_lane import Act, Draw


@dataclass(frozen=True, slots=True)
class Layout:
    """How matrices of a key are laid out.

    `rows`: the dial of each row but the first. `floors`, `ceilings`: what the key says of each row.
    """

    rows: tuple[int, ...]
    floors: tuple[int, ...]
    ceilings: tuple[int, ...]

    @classmethod
    def of(cls, frame: Frame, key: int) -> "Layout":
        """Return the layout that goes with the regions of a key."""
        regions = [(n, dial, dial.region(key)) for n, dial in enumerate(frame.dials)]
        active = [(n, dial, region) for n, dial, region in regions if region]
        return cls(
            tuple(n for n, _, _ in active),
            (0, *(dial.edges[region - 1] + 1 for _, dial, region in active)),
            (0, *(dial.edges[region] for _, dial, region in active)),
        )

    @property
    def size(self) -> int:
        """Number of rows of a matrix, the constant's included."""
        return len(self.floors)


@dataclass(frozen=True, slots=True)
class _Row:
    """A row that is not loaded: its dial, its region bit, and the edge it runs to (-1: stands)."""

    dial: int
    region: int
    edge: int


@dataclass(frozen=True, slots=True)
class _Loading:
    """A clock that is loaded; `row` is its row before the tick, 0 where it shows 0."""

    dial: int
    clock: Dial
    draw: Draw
    row: int

    def parts(self, matrix: Matrix, size: int) -> list["_Loaded"]:
        """Return where the clock may stand after the tick, by region."""
        low, high = self.draw.low, self.draw.high
        if self.draw.turned:
            least, most = -matrix[self.row], matrix[self.row * size]
            low, high = max(0, low - most), max(0, high - least)
        return [
            _Loaded(self.dial, 1 << (self.clock.place + region), region > 0, first, last)
            for region, first, last in self.clock.parts(low, high)
        ]


@dataclass(frozen=True, slots=True)
class _Loaded:
    """A loaded clock in one region."""

    dial: int
    region: int
    above: bool
    low: int
    high: int


class Move:
    """What clocks do in a tick, from given regions, made ready to be applied to many matrices.

    It knows nothing of registers, so keys that differ only in these share it.
    """

    def __init__(self, frame: Frame, regions: int, acts: tuple[Act, ...]) -> None:
        """Work out what does not hang on the matrix."""
        self._regions = regions
        self._turned = any(isinstance(act, Draw) and act.turned for act in acts)
        self._idle = 0
        self._rows: list[_Row] = []
        self._loadings: list[_Loading] = []
        layout = Layout.of(frame, regions)
        self._old_size = layout.size
        row_of = {n: row for row, n in enumerate(layout.rows, 1)}
        old = [0]
        for n, (dial, act) in enumerate(zip(frame.dials, acts, strict=True)):
            row = row_of.get(n, 0)
            if isinstance(act, Draw):
                self._loadings.append(_Loading(n, dial, act, row))
            elif row:
                old.append(row)
                edge = layout.floors[row] - 1 if act else -1
                self._rows.append(_Row(n, regions & dial.all, edge))
            else:
                self._idle |= 1 << dial.place
        self._shift = self._shifts(old)

    def _shifts(self, old: list[int]) -> list[tuple[int, int]]:
        """Return which entry goes where, and by how much it changes as rows run."""
        down = [0, *(1 if row.edge >= 0 else 0 for row in self._rows)]
        return [
            (i * self._old_size + j, down[b] - down[a])
            for a, i in enumerate(old)
            for b, j in enumerate(old)
        ]

    def apply(self, matrix: Matrix, *, returns: bool) -> Iterator[tuple[int, Matrix]]:
        """Yield the regions and matrices that a tick leads to.

        `returns`: the registers come out as they were (or as a part of it), so where the regions
        do too the tick can be taken again; what comes of that is then included.
        """
        loads = [loading.parts(matrix, self._old_size) for loading in self._loadings]
        for part, crossed in self._parts([matrix[place] + more for place, more in self._shift]):
            for loaded in product(*loads):
                regions = self._idle | sum(one.region for one in loaded)
                for place, row in enumerate(self._rows, 1):
                    regions |= row.region >> 1 if place in crossed else row.region
                again = returns and regions == self._regions and not self._turned
                last = self._repeated(part) if again else part
                yield regions, self._placed(last, crossed, loaded)

    def _parts(self, matrix: Matrix) -> list[tuple[Matrix, frozenset[int]]]:
        """Return the cases of which rows came to the edge of their region."""
        size = len(self._rows) + 1
        parts: list[tuple[Matrix, frozenset[int]]] = [(matrix, frozenset())]
        for place, row in enumerate(self._rows, 1):
            if row.edge < 0 or -matrix[place] > row.edge:
                continue
            further: list[tuple[Matrix, frozenset[int]]] = []
            for part, crossed in parts:
                above = tightened(part, size, (0, place), -row.edge - 1)
                if above is not None:
                    further.append((above, crossed))
                at_edge = tightened(part, size, (place, 0), row.edge)
                if at_edge is not None:
                    further.append((at_edge, crossed | {place}))
            parts = further
        return parts

    def _repeated(self, part: Matrix) -> Matrix:
        running = [place for place, row in enumerate(self._rows, 1) if row.edge >= 0]
        floors = [row.edge + 1 for row in self._rows if row.edge >= 0]
        return elapsed(part, len(self._rows) + 1, running, floors) if running else part

    def _placed(self, part: Matrix, crossed: frozenset[int], loaded: tuple[_Loaded, ...]) -> Matrix:
        """Leave out the rows that came to 0, add the loaded ones, in the order of the dials."""
        zeros = {place for place in crossed if self._rows[place - 1].edge == 0}
        added = [one for one in loaded if one.above]
        if not zeros and not added:
            return part
        size = len(self._rows) + 1
        order = [(row.dial, n) for n, row in enumerate(self._rows, 1) if n not in zeros]
        for one in added:
            part = with_clock(part, size, one.low, one.high)
            order.append((one.dial, size))
            size += 1
        return selected(part, size, [0, *(place for _, place in sorted(order))])
