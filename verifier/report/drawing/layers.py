"""Which box stands in which column, and in which order down the column.

The layered method of K. Sugiyama, S. Tagawa and M. Toda ("Methods for visual understanding of
hierarchical system structures", IEEE Trans. SMC 11, 1981). Circles are broken here first: the
library for layers and order takes graphs without circles only. It knows boxes but no ports, so the
order is improved by ports afterwards (`order`).
"""

from collections.abc import Sequence
from dataclasses import dataclass

from verifier.report.drawing.scheme import Scheme

Edge = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Layers:
    """The boxes of each column, from top to bottom."""

    columns: tuple[tuple[int, ...], ...]

    def of(self) -> dict[int, int]:
        """Return the column of each box."""
        return {box: at for at, column in enumerate(self.columns) for box in column}


def components(scheme: Scheme) -> list[list[int]]:
    """Return the boxes that hang together, in their order; those without a wire stand alone."""
    home = list(range(len(scheme.boxes)))

    def root(box: int) -> int:
        while home[box] != box:
            home[box] = home[home[box]]
            box = home[box]
        return box

    for wire in scheme.wires:
        for target in wire.targets:
            one, other = sorted((root(wire.source.box), root(target.box)))
            home[other] = one
    found: dict[int, list[int]] = {}
    for box in range(len(scheme.boxes)):
        found.setdefault(root(box), []).append(box)
    return list(found.values())


def ways(scheme: Scheme) -> list[Layers]:
    """Return the columns of a scheme that hangs together: some ways of doing it."""
    edges = sorted(
        {
            (wire.source.box, target.box)
            for wire in scheme.wires
            for target in wire.targets
            if wire.source.box != target.box
        }
    )
    if not edges:
        return [Layers((tuple(range(len(scheme.boxes))),))]
    orders = [_by_out(edges), _by_distance(edges)]
    return list(dict.fromkeys(_columns(edges, order) for order in orders))


def _columns(edges: Sequence[Edge], order: Sequence[int]) -> Layers:
    """Return columns in which edges go forth that go forth in an order of the boxes."""
    from fast_sugiyama import from_edges

    place = {box: at for at, box in enumerate(order)}
    forth = sorted({(a, b) if place[a] < place[b] else (b, a) for a, b in edges})
    # The library knows nodes by their numbers in the edges, and tells them in no order.
    (found,) = from_edges(forth, dummy_vertices=False, check_layout=False)
    columns: dict[float, list[int]] = {}
    for y, _, box in sorted((-y, x, int(box)) for box, (x, y) in found[0]):
        columns.setdefault(y, []).append(box)
    return Layers(tuple(tuple(column) for column in columns.values()))


def _by_distance(edges: Sequence[Edge]) -> list[int]:
    """Return the boxes in order of how few wires lie between them and what nothing leads into.

    Then a wire leads back from what happens to what is asked, as people draw it.
    """
    order = _by_out(edges)
    into = {other for _, other in edges}
    distance = {box: 0 for box in order if box not in into}
    todo = list(distance)
    for box in todo:
        for one, other in edges:
            if one == box and other not in distance:
                distance[other] = distance[box] + 1
                todo.append(other)
    circle = _circles(edges)
    first: dict[int, int] = {}
    for at, box in enumerate(order):
        first.setdefault(circle[box], at)
    return sorted(
        order, key=lambda box: (first[circle[box]], distance.get(box, 0), order.index(box))
    )


def _circles(edges: Sequence[Edge]) -> dict[int, int]:
    """Return for each box the least one that it shares a circle with: itself, if there is none."""
    ahead: dict[int, set[int]] = {box: {box} for edge in edges for box in edge}
    grows = True
    while grows:
        grows = False
        for one, other in edges:
            if not ahead[other] <= ahead[one]:
                ahead[one] |= ahead[other]
                grows = True
    return {box: min(one for one in ahead[box] if box in ahead[one]) for box in ahead}


def _by_out(edges: Sequence[Edge]) -> list[int]:
    """Return the boxes in an order against which few edges lead.

    That of P. Eades, X. Lin and W. Smyth ("A fast and effective heuristic for the
    feedback arc set problem", Inf. Proc. Letters 47, 1993): take what nothing leads out of last,
    what nothing leads into first, else what leads out most.
    """
    left = {box for edge in edges for box in edge}
    head: list[int] = []
    tail: list[int] = []
    while left:
        out = dict.fromkeys(sorted(left), 0)
        into = dict.fromkeys(sorted(left), 0)
        for one, other in edges:
            if one in left and other in left:
                out[one] += 1
                into[other] += 1
        sinks = [box for box in out if not out[box]]
        sources = [box for box in out if out[box] and not into[box]]
        tail[:0] = sinks
        head += sources
        taken = {*sinks, *sources} or {max(out, key=lambda box: out[box] - into[box])}
        if not sinks and not sources:
            head += taken
        left -= taken
    return [*head, *tail]
