"""Routes wires through one channel between two columns: every wire gets an upright, or two.

The classic channel of two sides, turned on its side. A wire touches the channel in some rows; from
each of them it runs level to its upright. Uprights stand on tracks, numbered from the left. Two
wires that meet the channel in the same row from opposite sides must not run over each other, so the
one from the left must have its upright further left; where that leads in a circle, one of them gets
a second upright and changes its row between the two (a dogleg: D. N. Deutsch, "A dogleg channel
router", Design Automation Conference 1976).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

Row = float

_HARD = 1000
_LEFT, _RIGHT = 1, 2  # halves
_MARGIN = 0.75  # rows that must lie between two uprights on one track


@dataclass(frozen=True, slots=True)
class Net:
    """A wire in a channel: the rows in which it comes in from the left and from the right.

    Of a wire that was split, the `half` on the left is 1, the one on the right 2.
    """

    wire: int
    left: frozenset[Row]
    right: frozenset[Row]
    half: int = 0

    @property
    def rows(self) -> frozenset[Row]:
        """All its rows."""
        return self.left | self.right

    @property
    def span(self) -> tuple[Row, Row]:
        """Its highest and its lowest row."""
        return min(self.rows), max(self.rows)


@dataclass(frozen=True, slots=True)
class Upright:
    """A wire on a track, from one row down to another."""

    wire: int
    track: int
    high: Row
    low: Row


@dataclass(frozen=True, slots=True)
class Level:
    """A wire in a row, between two tracks; -1 is the left side, `tracks` the right side."""

    wire: int
    row: Row
    start: int
    stop: int


@dataclass(frozen=True, slots=True)
class Routed:
    """How wires run through a channel of so many tracks."""

    uprights: tuple[Upright, ...]
    levels: tuple[Level, ...]
    tracks: int


def route(nets: Sequence[Net]) -> Routed:
    """Return how wires run through a channel."""
    straight = [net for net in nets if len(net.rows) == 1]
    order = _arranged(nets)
    tracks = _tracks(order)
    count = max(tracks, default=-1) + 1
    levels = [Level(net.wire, min(net.rows), -1, count) for net in straight]
    uprights = []
    right_half = {net.wire: at for net, at in zip(order, tracks, strict=True) if net.half == _RIGHT}
    for net, track in zip(order, tracks, strict=True):
        uprights.append(Upright(net.wire, track, *net.span))
        if net.half != _RIGHT:
            levels += [Level(net.wire, row, -1, track) for row in sorted(net.left)]
        stop = right_half[net.wire] if net.half == _LEFT else count
        levels += [Level(net.wire, row, track, stop) for row in sorted(net.right)]
    return Routed(tuple(uprights), tuple(levels), count)


def _arranged(nets: Sequence[Net]) -> list[Net]:
    """Return the wires that need an upright from left to right, split where they would overlap."""
    taken = {row for net in nets for row in net.rows}
    standing = [net for net in nets if len(net.rows) > 1]
    while True:
        order = _improved(standing)
        clash = _clash(order)
        if clash is None:
            return order
        if not clash:  # halves only: all that come in from the left, then all that go out
            halves = [half for net in standing for half in _split(net, taken)]
            return sorted(halves, key=lambda net: (net.half, net.wire))
        standing.remove(clash[0])
        standing += _split(clash[0], taken)


def _cost(one: Net, other: Net) -> int:
    """Return how many crossings, and overlaps, it costs that one wire stands left of another."""
    if one.wire == other.wire:
        return 0 if one.half < other.half else _HARD
    low, high = other.span
    crossings = sum(low <= row <= high for row in one.right)
    low, high = one.span
    crossings += sum(low <= row <= high for row in other.left)
    return crossings + _HARD * len(one.right & other.left)


def _improved(nets: Iterable[Net]) -> list[Net]:
    """Insert wires one by one where they cost least, then move each again while that helps."""
    order: list[Net] = []
    for net in sorted(nets, key=lambda net: (net.span, net.wire, net.half)):
        _insert(order, net)
    for _ in range(len(order)):
        before = list(order)
        for net in before:
            order.remove(net)
            _insert(order, net)
        if order == before:
            break
    return order


def _insert(order: list[Net], net: Net) -> None:
    costs = [sum(_cost(net, other) for other in order)]
    for other in order:
        costs.append(costs[-1] - _cost(net, other) + _cost(other, net))
    order.insert(costs.index(min(costs)), net)


def _clash(order: Sequence[Net]) -> list[Net] | None:
    """Return the whole wires among two that would overlap, None if no two do."""
    for at, one in enumerate(order):
        for other in order[at + 1 :]:
            if one.wire == other.wire:
                if one.half > other.half:
                    return []
            elif one.right & other.left:
                return [net for net in (other, one) if not net.half]
    return None


def _split(net: Net, taken: set[Row]) -> list[Net]:
    """Split a wire in two that meet in a row of their own."""
    if net.half:
        return [net]
    low, high = net.span
    row = (low + high) // 2 + 0.5
    while row in taken:
        row += 1
    taken.add(row)
    meeting = frozenset([row])
    return [Net(net.wire, net.left, meeting, _LEFT), Net(net.wire, meeting, net.right, _RIGHT)]


def _tracks(order: Sequence[Net]) -> list[int]:
    """Return the track of each wire, in their order: the leftmost that is free."""
    tracks: list[int] = []
    for at, net in enumerate(order):
        low, high = net.span
        track = 0
        for other, taken in zip(order[:at], tracks, strict=True):
            other_low, other_high = other.span
            near = low - _MARGIN < other_high and other_low < high + _MARGIN
            if near or net.wire == other.wire:
                track = max(track, taken + 1)
        tracks.append(track)
    return tracks
