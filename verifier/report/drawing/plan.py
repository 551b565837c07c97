"""Where everything on a wiring drawing is: boxes on columns, wires in channels between them.

Parts that hang together are laid out together, and all such groups are then packed onto the sheet.
A group too wide for it is cut into bands, one below the other; a wire that goes on in another band
ends in a tag there with the name of where it comes from.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import accumulate

from verifier.report.drawing.channels import Net, Routed, route
from verifier.report.drawing.heights import Channel, heights, row_of
from verifier.report.drawing.layers import Layers, components, ways
from verifier.report.drawing.order import Columns, Item, Slot, ordered, touches
from verifier.report.drawing.scheme import Box, Draft, Pin, Port, Scheme, Wire
from verifier.report.drawing.sizes import GRID, Size, size

WIDEST = 1400.0
"""How wide a band may be, in units of the drawing."""

_LEAD, _TAIL = 14.0, 22.0  # of a channel, before its first track and behind its last
_NARROWEST = 48.0
_GAP = 36.0  # between groups
_CROSSING, _WIDTH = 60.0, 4.0  # what a crossing, and a unit of width, cost in units of wire

Point = tuple[float, float]
Segment = tuple[Point, Point]


@dataclass(frozen=True, slots=True)
class PlacedBox:
    """A box with its top left corner; the head is above its body."""

    box: Box
    size: Size
    x: float
    y: float

    @property
    def body(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of the body."""
        top = self.y + self.size.head * GRID
        return self.x, top, self.x + self.size.width, top + self.size.body * GRID

    @property
    def right(self) -> float:
        """Its right side."""
        return self.x + self.size.width

    @property
    def bottom(self) -> float:
        """Its lower side, foot included."""
        return self.y + self.size.height * GRID

    def input(self, port: int) -> Point:
        """Return where a wire ends."""
        return self.x, self.y + self.size.ins[port] * GRID

    def output(self, port: int) -> Point:
        """Return where a wire begins."""
        return self.right, self.y + self.size.outs[port] * GRID


@dataclass(frozen=True, slots=True)
class PlacedWire:
    """A wire with all its segments, level ones first; `joints` are where three meet."""

    key: str  # of the box that it leaves
    port: Port
    targets: tuple[tuple[str, Port], ...]
    source: Point
    ends: tuple[Point, ...]
    segments: tuple[Segment, ...]
    joints: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """A drawing's contents and their size."""

    width: float
    height: float
    boxes: tuple[PlacedBox, ...]
    wires: tuple[PlacedWire, ...]

    def moved(self, x: float, y: float) -> "Plan":
        """Return the plan further right and down."""

        def at(point: Point) -> Point:
            return point[0] + x, point[1] + y

        boxes = tuple(replace(box, x=box.x + x, y=box.y + y) for box in self.boxes)
        wires = tuple(
            replace(
                wire,
                source=at(wire.source),
                ends=tuple(map(at, wire.ends)),
                segments=tuple((at(one), at(other)) for one, other in wire.segments),
                joints=tuple(map(at, wire.joints)),
            )
            for wire in self.wires
        )
        return Plan(self.width, self.height, boxes, wires)


def plan(scheme: Scheme, widest: float = WIDEST) -> Plan:
    """Return the plan of a scheme."""
    groups = [part for boxes in components(scheme) for part in _bands(_part(scheme, boxes), widest)]
    # What hangs together most comes first; parts without a wire fill the last rows.
    groups.sort(key=lambda one: len(one.boxes) == 1)
    return _packed(groups, widest)


def _part(scheme: Scheme, boxes: Sequence[int]) -> Scheme:
    """Return some boxes, and the wires between them."""
    number = {box: at for at, box in enumerate(boxes)}
    wires = []
    for wire in scheme.wires:
        targets = [Pin(number[one.box], one.port) for one in wire.targets if one.box in number]
        if wire.source.box in number and targets:
            source = Pin(number[wire.source.box], wire.source.port)
            wires.append(Wire(source, tuple(targets)))
    return Scheme(tuple(scheme.boxes[box] for box in boxes), tuple(wires))


def _packed(groups: Iterable[Plan], widest: float) -> Plan:
    """Put groups side by side in rows, and the rows below each other."""
    boxes: list[PlacedBox] = []
    wires: list[PlacedWire] = []
    x = y = tallest = width = 0.0
    for one in groups:
        if x and x + one.width > widest:
            x, y, tallest = 0.0, y + tallest + _GAP, 0.0
        there = one.moved(x, y)
        boxes += there.boxes
        wires += there.wires
        x += one.width + _GAP
        width = max(width, x - _GAP)
        tallest = max(tallest, one.height)
    return Plan(width, y + tallest, tuple(boxes), tuple(wires))


# --- bands ---


def _bands(scheme: Scheme, widest: float) -> Iterator[Plan]:
    found, whole = _best(scheme)
    count = -int(-whole.width // widest)
    if count < 2 or len(found.columns) < 2:  # noqa: PLR2004 - one band, one column
        yield whole
        return
    count = min(count, len(found.columns))
    per_band = -(-len(found.columns) // count)
    band = {box: at // per_band for box, at in found.of().items()}
    _together(scheme, band)
    for cut in _cut(scheme, band):
        for boxes in components(cut):
            yield _best(_part(cut, boxes))[1]


def _together(scheme: Scheme, band: dict[int, int]) -> None:
    """Move a box that is wired to one other band only, and not to its own, over there."""
    beside: dict[int, set[int]] = {}
    for wire in scheme.wires:
        for target in wire.targets:
            beside.setdefault(wire.source.box, set()).add(target.box)
            beside.setdefault(target.box, set()).add(wire.source.box)
    for box in sorted(beside):
        there = {band[one] for one in beside[box] if one != box}
        if len(there) == 1 and band[box] not in there:
            band[box] = there.pop()


def _cut(scheme: Scheme, band: dict[int, int]) -> Iterator[Scheme]:
    """Yield the bands of a scheme, with tags for the wires between them."""
    drafts = {at: Draft() for at in sorted(set(band.values()))}
    place = {
        box: drafts[band[box]].place(replace(one, ins=(), outs=()))
        for box, one in enumerate(scheme.boxes)
    }
    for box, one in enumerate(scheme.boxes):
        drafts[band[box]].ins[place[box]] = list(one.ins)
        drafts[band[box]].outs[place[box]] = list(one.outs)
    cut = [
        wire
        for wire in scheme.wires
        if {band[one.box] for one in wire.targets} != {band[wire.source.box]}
    ]
    names = tag_names(scheme, cut)
    for number, wire in enumerate(scheme.wires):
        tag = f"tag {number}", names.get(wire, "")
        _tie(scheme, wire, tag, drafts, (band, place))
    for draft in drafts.values():
        yield draft.scheme()


def _tie(
    scheme: Scheme,
    wire: Wire,
    tag: tuple[str, str],
    drafts: Mapping[int, Draft],
    where: tuple[dict[int, int], dict[int, int]],
) -> None:
    """Draw a wire in each band that it comes to; `tag`: the key of its tags, and their words."""
    (key, name), (band, place) = tag, where
    home = band[wire.source.box]
    port = scheme.source(wire)
    source = Pin(place[wire.source.box], wire.source.port)
    for at, draft in drafts.items():
        targets = [Pin(place[one.box], one.port) for one in wire.targets if band[one.box] == at]
        if at == home:
            draft.ties.setdefault(source, []).extend(targets)
            if len(targets) < len(wire.targets):
                end = draft.place(Box(f"{key} out", "tag", words=name))
                draft.tie(source, end, replace(port, name=""))
        elif targets:
            end = draft.place(Box(f"{key} in {at}", "tag", words=name))
            draft.ties[draft.output(end, replace(port, name=""))] = targets


def tag_names(scheme: Scheme, cut: Sequence[Wire]) -> dict[Wire, str]:
    """Return what the tags of the wires that are cut say; no two nets are called the same.

    A wire is called by its net, else by what the box that it comes from looks at, else by what it
    is for, with a number where several are for the same.
    """
    names = {wire: _net_of(scheme, wire) for wire in cut}
    others: dict[str, list[Wire]] = {}
    for wire, name in names.items():
        if not name:
            others.setdefault(_purpose(scheme, wire), []).append(wire)
    for name, wires in others.items():
        for number, wire in enumerate(wires, start=1):
            names[wire] = f"{name} ({number})" if len(wires) > 1 else name
    return names


def _net_of(scheme: Scheme, wire: Wire) -> str:
    """Return the name of the net that a wire carries, "" where it has none."""
    source = scheme.boxes[wire.source.box]
    own = scheme.source(wire).path or source.title
    ports = (scheme.boxes[one.box].ins[one.port] for one in wire.targets)
    return own or next((one.path for one in ports if one.path and not one.negated | one.edge), "")


def _purpose(scheme: Scheme, wire: Wire) -> str:
    """Return what a wire without a net is: what its box looks at, or for which named thing it is.

    That is looked for through gates without a name.
    """
    source = scheme.boxes[wire.source.box]
    if source.kind == "sense":
        return source.words
    after = {one.source.box: one for one in reversed(scheme.wires)}
    seen = {wire}
    while True:
        goal = scheme.boxes[wire.targets[0].box]
        name = goal.ins[wire.targets[0].port].path or goal.title
        onward = after.get(wire.targets[0].box)
        if name or onward is None or onward in seen:
            return f"for {name or goal.kind}"
        seen.add(onward)
        wire = onward


# --- one group ---


def _best(scheme: Scheme) -> tuple[Layers, Plan]:
    """Return the best of some ways to lay a group out."""
    tried = [(found, _laid_out(scheme, found)) for found in ways(scheme)]
    return min(tried, key=lambda one: _cost(one[1]))


def _cost(found: Plan) -> float:
    """Return what a reader has to follow: wires, their crossings, and the width of it all."""
    length = sum(abs(x - u) + abs(y - v) for one in found.wires for (x, y), (u, v) in one.segments)
    crossings = sum(
        _cross(one, other)
        for at, wire in enumerate(found.wires)
        for after in found.wires[at + 1 :]
        for one in wire.segments
        for other in after.segments
    )
    return length + _CROSSING * crossings + _WIDTH * found.width


def _cross(one: Segment, other: Segment) -> bool:
    """Whether two segments cross; those that run the same way do not."""
    (left, top), (right, bottom) = one
    (other_left, other_top), (other_right, other_bottom) = other
    if (top == bottom) == (other_top == other_bottom):
        return False
    aside = left > other_right or other_left > right
    return not aside and not (top > other_bottom or other_top > bottom)


@dataclass(slots=True)
class _Group:
    """A group while it is laid out: sizes, columns and channels, and where they are."""

    scheme: Scheme
    sizes: list[Size]
    columns: Columns
    channels: list[Channel]
    rows: dict[Item, int]
    routed: list[Routed] = field(default_factory=list)
    starts: list[float] = field(default_factory=list)  # left side of each column
    widths: list[float] = field(default_factory=list)


def _laid_out(scheme: Scheme, found: Layers) -> Plan:
    columns = ordered(scheme, found)
    sizes = [size(box) for box in scheme.boxes]
    left, right = touches(scheme, found)
    channels = [Channel(*sides) for sides in zip(left, right, strict=True)]
    rows = heights(columns, channels, sizes)
    group = _Group(scheme, sizes, columns, channels, rows)
    group.routed = [route(_nets(group, channel)) for channel in channels]
    _spread(group)
    boxes = _boxes(group)
    wires = _wires(group, boxes)
    lowest = max(box.bottom for box in boxes)
    lowest = max([lowest, *(end[1] for wire in wires for one in wire.segments for end in one)])
    return Plan(group.starts[-1], lowest, tuple(boxes), tuple(wires))


def _nets(group: _Group, channel: Channel) -> list[Net]:
    """Return the wires of a channel, with the rows in which they touch it."""
    sides: dict[int, tuple[set[float], set[float]]] = {}
    for side, found in enumerate((channel.left, channel.right)):
        for touch in found:
            rows = sides.setdefault(touch.wire, (set(), set()))
            row = row_of(touch, group.rows, group.sizes, ins=side == 1)
            rows[side].add(float(row))
    return [Net(wire, frozenset(left), frozenset(right)) for wire, (left, right) in sides.items()]


def _spread(group: _Group) -> None:
    """Give columns and channels their places from left to right."""
    group.widths = [
        max((group.sizes[item].width for item in column if not isinstance(item, Slot)), default=0.0)
        for column in group.columns
    ]
    gaps = [_width(one, outer=at in (0, len(group.widths))) for at, one in enumerate(group.routed)]
    starts = accumulate(zip(gaps, [0.0, *group.widths], strict=True), _step, initial=0.0)
    group.starts = list(starts)[1:]


def _step(start: float, room: tuple[float, float]) -> float:
    return start + sum(room)


def _width(routed: Routed, *, outer: bool) -> float:
    if outer and not routed.tracks:
        return 0.0
    room = _LEAD + max(routed.tracks - 1, 0) * GRID + _TAIL
    return room if outer else max(room, _NARROWEST)


def _boxes(group: _Group) -> list[PlacedBox]:
    return [
        PlacedBox(
            group.scheme.boxes[item], group.sizes[item], group.starts[at], group.rows[item] * GRID
        )
        for item, at in sorted(
            (item, at)
            for at, column in enumerate(group.columns)
            for item in column
            if not isinstance(item, Slot)
        )
    ]


def _wires(group: _Group, boxes: Sequence[PlacedBox]) -> list[PlacedWire]:
    pieces: list[list[Segment]] = [[] for _ in group.scheme.wires]
    for at, routed in enumerate(group.routed):
        end = group.starts[at]
        begin = end - _width(routed, outer=at in (0, len(group.widths)))
        for upright in routed.uprights:
            x = begin + _LEAD + upright.track * GRID
            pieces[upright.wire].append(((x, upright.high * GRID), (x, upright.low * GRID)))
        for level in routed.levels:
            start = begin if level.start < 0 else begin + _LEAD + level.start * GRID
            stop = end if level.stop == routed.tracks else begin + _LEAD + level.stop * GRID
            pieces[level.wire].append(((start, level.row * GRID), (stop, level.row * GRID)))
    for at, column in enumerate(group.columns):
        for item in column:
            if isinstance(item, Slot):
                y = group.rows[item] * GRID
                pieces[item.wire].append(
                    ((group.starts[at], y), (group.starts[at] + group.widths[at], y))
                )
    side = {box: at for at, column in enumerate(group.columns) for box in column}
    wires = []
    for wire, own in zip(group.scheme.wires, pieces, strict=True):
        source = boxes[wire.source.box].output(wire.source.port)
        at = side[wire.source.box]
        own.append((source, (group.starts[at] + group.widths[at], source[1])))
        ends = tuple(boxes[one.box].input(one.port) for one in wire.targets)
        targets = tuple(
            (boxes[one.box].box.key, boxes[one.box].box.ins[one.port]) for one in wire.targets
        )
        segments = joined(own)
        wires.append(
            PlacedWire(
                boxes[wire.source.box].box.key,
                group.scheme.source(wire),
                targets,
                source,
                ends,
                segments,
                joints(segments),
            )
        )
    return wires


# --- segments ---


def joined(pieces: Iterable[Segment]) -> tuple[Segment, ...]:
    """Return segments with those that touch along a line made one, level ones first."""
    lines: dict[tuple[int, float], list[tuple[float, float]]] = {}
    for (x, y), (other_x, other_y) in pieces:
        if y == other_y:
            lines.setdefault((0, y), []).append((min(x, other_x), max(x, other_x)))
        else:
            lines.setdefault((1, x), []).append((min(y, other_y), max(y, other_y)))
    found: list[Segment] = []
    for (way, at), spans in sorted(lines.items()):
        for start, stop in _merged(spans):
            if start < stop:
                found.append(((start, at), (stop, at)) if way == 0 else ((at, start), (at, stop)))
    return tuple(found)


def _merged(spans: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    found: list[tuple[float, float]] = []
    for start, stop in sorted(spans):
        if found and start <= found[-1][1]:
            found[-1] = (found[-1][0], max(stop, found[-1][1]))
        else:
            found.append((start, stop))
    return found


def joints(segments: Sequence[Segment]) -> tuple[Point, ...]:
    """Return the points at which a wire goes on in three ways or more."""
    level = [one for one in segments if one[0][1] == one[1][1]]
    upright = [one for one in segments if one[0][1] != one[1][1]]
    points = sorted((up[0][0], flat[0][1]) for flat in level for up in upright if _meet(flat, up))
    return tuple(point for point in points if _ways(point, segments) > 2)  # noqa: PLR2004 - a bend has two


def _meet(level: Segment, upright: Segment) -> bool:
    (left, y), (right, _) = level
    (x, top), (_, bottom) = upright
    return left <= x <= right and top <= y <= bottom


def _ways(point: Point, segments: Iterable[Segment]) -> int:
    ways = 0
    for one, other in segments:
        if point in (one, other):
            ways += 1
        elif one[0] <= point[0] <= other[0] and one[1] <= point[1] <= other[1]:
            ways += 2
    return ways
