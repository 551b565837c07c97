"""The order down each column, wires on their way included, with ports taken into account.

A wire that passes a column has a *slot* there. A wire that leads back to its own column or an
earlier one turns round to the left of its target: it has slots in all columns from the one of its
source to that of its target, both included.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from verifier.report.drawing.layers import Layers
from verifier.report.drawing.scheme import Scheme

_ROUNDS = 12


@dataclass(frozen=True, slots=True, order=True)
class Slot:
    """The place of a wire that passes a column."""

    wire: int
    column: int


Item = int | Slot
Columns = tuple[tuple[Item, ...], ...]
"""The items of each column from top to bottom."""

Links = dict[Item, list[tuple[float, Item, float]]]
"""For an item: how far down it a wire leaves (0 to 1), the item it leads to, how far down there."""


@dataclass(frozen=True, slots=True)
class Touch:
    """A wire at a side of an item: at a port of a box, or at its slot (port 0)."""

    item: Item
    port: int
    wire: int


def touches(scheme: Scheme, layers: Layers) -> tuple[list[list[Touch]], list[list[Touch]]]:
    """Return what touches each channel from its left and from its right.

    Channel i lies to the left of column i; so there is one more than there are columns.
    """
    column = layers.of()
    count = len(layers.columns) + 1
    left: list[list[Touch]] = [[] for _ in range(count)]
    right: list[list[Touch]] = [[] for _ in range(count)]
    for number, wire in enumerate(scheme.wires):
        at = column[wire.source.box]
        left[at + 1].append(Touch(wire.source.box, wire.source.port, number))
        for target in wire.targets:
            right[column[target.box]].append(Touch(target.box, target.port, number))
        for passed in _passed(at, [column[target.box] for target in wire.targets]):
            right[passed].append(Touch(Slot(number, passed), 0, number))
            left[passed + 1].append(Touch(Slot(number, passed), 0, number))
    return left, right


def _passed(source: int, targets: Sequence[int]) -> range | list[int]:
    """Return the columns that a wire passes."""
    ahead = range(source + 1, max(targets))
    back = range(min(targets), source + 1) if min(targets) <= source else range(0)
    return [*back, *ahead]


def ordered(scheme: Scheme, layers: Layers) -> Columns:
    """Return the best order found."""
    return _Orderer(scheme, layers).best()


class _Orderer:
    """Sweeps over the columns, then swaps of neighbours, as long as fewer wires cross."""

    def __init__(self, scheme: Scheme, layers: Layers) -> None:
        self.scheme = scheme
        self.left, self.right = touches(scheme, layers)
        self.columns: list[list[Item]] = [list(column) for column in layers.columns]
        self.before: Links = {}
        self.after: Links = {}
        for ones, others in zip(self.left, self.right, strict=True):
            self._link(ones, others)
        self._slots()

    def _link(self, ones: Sequence[Touch], others: Sequence[Touch]) -> None:
        for one in ones:
            for other in others:
                if one.wire == other.wire:
                    here, there = self._part(one, ins=False), self._part(other, ins=True)
                    self.after.setdefault(one.item, []).append((here, other.item, there))
                    self.before.setdefault(other.item, []).append((there, one.item, here))

    def _part(self, touch: Touch, *, ins: bool) -> float:
        """Return how far down an item a wire touches it, from 0 to 1."""
        if isinstance(touch.item, Slot):
            return 0.5
        box = self.scheme.boxes[touch.item]
        return (touch.port + 1) / (len(box.ins if ins else box.outs) + 1)

    def _slots(self) -> None:
        """Put each slot where the boxes that its wire joins would have it."""
        wanted: dict[Item, float] = {}
        for column in self.columns:
            wanted.update({box: (at + 0.5) / len(column) for at, box in enumerate(column)})
        for touch in (one for side in self.right for one in side):
            if isinstance(touch.item, Slot):
                wire = self.scheme.wires[touch.wire]
                ends = [wire.source, *wire.targets]
                wanted[touch.item] = sum(wanted[end.box] for end in ends) / len(ends)
                self.columns[touch.item.column].append(touch.item)
        for column in self.columns:
            column.sort(key=lambda item: (wanted[item], isinstance(item, Slot)))

    # --- improving ---

    def best(self) -> Columns:
        """Return the order with the fewest crossings that the rounds come by."""
        best, fewest = self._copy(), self._crossings()
        for number in range(_ROUNDS):
            self._sweep(forth=number % 2 == 0)
            while self._swaps():
                pass
            crossings = self._crossings()
            if crossings < fewest:
                best, fewest = self._copy(), crossings
        return best

    def _copy(self) -> Columns:
        return tuple(tuple(column) for column in self.columns)

    def _place(self, at: int) -> dict[Item, int]:
        return {item: place for place, item in enumerate(self.columns[at])}

    def _sweep(self, *, forth: bool) -> None:
        """Order each column by the middle of what its items are wired to in the one before."""
        links = self.before if forth else self.after
        numbers = list(range(len(self.columns)))
        for fixed, at in pairwise(numbers if forth else numbers[::-1]):
            place = self._place(fixed)
            own = self._place(at)
            middle = {}
            for item in self.columns[at]:
                ends = sorted(place[there] + part for _, there, part in links.get(item, ()))
                middle[item] = _middle(ends) if ends else float(own[item])
            self.columns[at].sort(key=lambda item: (middle[item], own[item]))

    def _swaps(self) -> bool:
        """Swap neighbours where fewer wires cross then."""
        better = False
        for at, column in enumerate(self.columns):
            before = self._place(at - 1) if at else {}
            after = self._place(at + 1) if at + 1 < len(self.columns) else {}
            for upper in range(len(column) - 1):
                one, other = column[upper], column[upper + 1]
                gain = 0
                for links, place in ((self.before, before), (self.after, after)):
                    if place:
                        ups = _ends(links, place, one)
                        downs = _ends(links, place, other)
                        gain += _inversions(ups, downs) - _inversions(downs, ups)
                if gain > 0:
                    column[upper], column[upper + 1] = other, one
                    better = True
        return better

    def _crossings(self) -> int:
        total = 0
        for at in range(len(self.columns) - 1):
            here, there = self._place(at), self._place(at + 1)
            ends = sorted(
                (here[item] + part, there[other] + end)
                for item in self.columns[at]
                for part, other, end in self.after.get(item, ())
            )
            rights = [end for _, end in ends]
            total += sum(_above(rights[:n], one) for n, one in enumerate(rights))
        return total


def _above(ends: Sequence[float], one: float) -> int:
    return sum(end > one for end in ends)


def _inversions(ups: Sequence[float], downs: Sequence[float]) -> int:
    """Return how many wires of an upper item cross those of a lower one."""
    return sum(up > down for up in ups for down in downs)


def _middle(ends: Sequence[float]) -> float:
    half = len(ends) // 2
    return ends[half] if len(ends) % 2 else (ends[half - 1] + ends[half]) / 2


def _ends(links: Links, place: dict[Item, int], item: Item) -> list[float]:
    return [place[there] + part for _, there, part in links.get(item, ())]
