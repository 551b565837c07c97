"""How high in its column each item stands, so that as many wires as can be run straight.

Column by column, items are moved to the weighted median of what they are wired to while their order
and distances are kept: for one column between fixed ones this is the best there is (isotonic
regression by pooling neighbours that would collide, here for sums of distances).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from verifier.report.drawing.order import Columns, Item, Slot, Touch
from verifier.report.drawing.sizes import Size

_ROUNDS = 6
_STAY, _WIRE, _CHAIN = 1, 20, 160  # how much an item wants to stay, be near a box, near a slot
Pull = tuple[int, int]  # where to, how much


@dataclass(frozen=True, slots=True)
class Channel:
    """What touches a channel from the left and from the right."""

    left: Sequence[Touch]
    right: Sequence[Touch]


def heights(
    columns: Columns, channels: Sequence[Channel], sizes: Sequence[Size]
) -> dict[Item, int]:
    """Return the row of the top of each box and of each slot; the topmost is 0."""
    found = _Heights(columns, channels, sizes)
    found.settle()
    top = min(found.rows.values())
    return {item: row - top for item, row in found.rows.items()}


def row_of(touch: Touch, rows: Mapping[Item, int], sizes: Sequence[Size], *, ins: bool) -> int:
    """Return the row in which a wire touches an item."""
    return rows[touch.item] + _offset(touch, sizes, ins=ins)


def _offset(touch: Touch, sizes: Sequence[Size], *, ins: bool) -> int:
    if isinstance(touch.item, Slot):
        return 0
    one = sizes[touch.item]
    return (one.ins if ins else one.outs)[touch.port]


class _Heights:
    def __init__(
        self, columns: Columns, channels: Sequence[Channel], sizes: Sequence[Size]
    ) -> None:
        self.columns = columns
        self.sizes = sizes
        self.rows: dict[Item, int] = {}
        self.before: dict[Item, list[tuple[int, Item, int]]] = {}
        self.after: dict[Item, list[tuple[int, Item, int]]] = {}
        for column in columns:
            self.rows.update(zip(column, self._shifts(column), strict=True))
        for channel in channels:
            self._link(channel)

    def _distance(self, upper: Item, lower: Item | None) -> int:
        """Return how many rows the top of one item lies above that of the next."""
        if isinstance(upper, Slot):
            return 1
        above = self.sizes[upper]
        if lower is None or isinstance(lower, Slot) or above.foot or self.sizes[lower].head:
            return above.height + 1
        return above.height + 2

    def _shifts(self, column: Sequence[Item]) -> list[int]:
        """Return the rows of a column in which nothing lies higher than it must."""
        steps = [self._distance(upper, lower) for upper, lower in pairwise(column)]
        return list(accumulate(steps, initial=0))

    def _link(self, channel: Channel) -> None:
        for one in channel.left:
            for other in channel.right:
                if one.wire == other.wire:
                    here = _offset(one, self.sizes, ins=False)
                    there = _offset(other, self.sizes, ins=True)
                    self.after.setdefault(one.item, []).append((here, other.item, there))
                    self.before.setdefault(other.item, []).append((there, one.item, here))

    def settle(self) -> None:
        """Move all items until they stand well."""
        numbers = range(len(self.columns))
        for number in range(2 * _ROUNDS):
            forth = number % 2 == 0
            both = number >= _ROUNDS
            for at in numbers if forth else reversed(numbers):
                one_side = self.before if forth else self.after
                links = (self.before, self.after) if both else (one_side,)
                self._move(self.columns[at], links)
        for _ in range(2):
            self._straighten()

    def _move(
        self,
        column: Sequence[Item],
        links: Sequence[Mapping[Item, Sequence[tuple[int, Item, int]]]],
    ) -> None:
        """Move the items of a column to where they are pulled most."""
        blocks: list[tuple[list[Pull], int]] = []  # pulls, and how many items stand together
        shifts = self._shifts(column)
        for item, shift in zip(column, shifts, strict=True):
            pulls = [(self.rows[item] - shift, _STAY)]
            for link in links:
                pulls += [
                    (self.rows[there] + end - here - shift, self._weight(item, there))
                    for here, there, end in link.get(item, ())
                ]
            blocks.append((pulls, 1))
            while len(blocks) > 1 and _median(blocks[-2][0]) > _median(blocks[-1][0]):
                pulls, count = blocks.pop()
                blocks[-1] = (blocks[-1][0] + pulls, blocks[-1][1] + count)
        rows = [_median(pulls) for pulls, count in blocks for _ in range(count)]
        for item, row, own in zip(column, rows, shifts, strict=True):
            self.rows[item] = row + own

    def _weight(self, one: Item, other: Item) -> int:
        both = isinstance(one, Slot) and isinstance(other, Slot)
        return _CHAIN if both else _WIRE

    # --- long wires ---

    def _straighten(self) -> None:
        """Give the slots of one wire one row where there is room for it in all columns."""
        place = {
            item: (at, number)
            for at, column in enumerate(self.columns)
            for number, item in enumerate(column)
        }
        chains: dict[int, list[Slot]] = {}
        for item in self.rows:
            if isinstance(item, Slot):
                chains.setdefault(item.wire, []).append(item)
        for slots in chains.values():
            limits = [self._limits(*place[slot]) for slot in slots]
            low = max(limit[0] for limit in limits)
            high = min(limit[1] for limit in limits)
            if low <= high:
                row = min(max(_median(self._pulls(slots)), low), high)
                self.rows.update(dict.fromkeys(slots, row))

    def _pulls(self, slots: Sequence[Slot]) -> list[Pull]:
        pulls = [(self.rows[slot], _STAY) for slot in slots]
        for slot in slots:
            for _, there, end in (*self.before.get(slot, ()), *self.after.get(slot, ())):
                if not isinstance(there, Slot):
                    pulls.append((self.rows[there] + end, _WIRE))
        return pulls

    def _limits(self, at: int, number: int) -> tuple[int, int]:
        """Return the rows between which an item can move."""
        column = self.columns[at]
        low, high = -(10**6), 10**6
        if number:
            upper = column[number - 1]
            low = self.rows[upper] + self._distance(upper, column[number])
        if number + 1 < len(column):
            high = self.rows[column[number + 1]] - self._distance(column[number], None)
        return low, high


def _median(pulls: Sequence[Pull]) -> int:
    """Return the lower weighted median."""
    rising = sorted(pulls)
    below = list(accumulate(weight for _, weight in rising))
    return next(row for (row, _), sum_ in zip(rising, below, strict=True) if 2 * sum_ >= below[-1])
