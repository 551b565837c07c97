"""The wiring drawing of a design, as SVG.

What a page finds in it, all under the root `svg.wiring`, with `P` the prefix it was given:

- `g.part#P-part-PATH` with `data-part` and `data-kind`: a part. In it `text.state` (empty, below
  the box), `rect.strip` (a timer's, as wide as the box; scale it to what is left), for a door
  `path.leaf`. A class `live` lights the sign; `opening`, `open` and `shutting` turn the leaf.
- `g.gate#P-gate-N` with `data-kind`: a gate of a condition, something kept, a walker, a tag.
- `g.port` with `data-net`: the name of a port, in its box.
- `g.wire#P-wire-N`, `signal` or `power`, with `data-net` and `data-source`: all that leaves one
  output. A class `live` lights it; `text.amount` (empty, on power wires) takes the units.

N counts boxes as they stand in the plan, and wires as `in_order` gives them.

Letters in ids other than letters, digits and `_` become `-`.
"""

import re
from collections.abc import Sequence
from xml.etree.ElementTree import Element

from verifier.design.model import Design
from verifier.report.drawing.palette import paint
from verifier.report.drawing.plan import PlacedBox, PlacedWire, Plan, plan
from verifier.report.drawing.scheme import Port
from verifier.report.drawing.sizes import (
    DETAIL,
    PORT,
    TITLE,
    WORDS,
    detail_of,
    name_of,
    title_of,
    words_of,
)
from verifier.report.drawing.survey import survey
from verifier.report.drawing.svg import (
    ALONE,
    Sheet,
    add,
    area,
    box,
    fitted,
    group,
    label,
    line,
    path,
    sheet,
    text_width,
)
from verifier.report.drawing.symbols import draw_sign

_MARGIN = 36.0
_FOOT = 72.0  # room for the key and the title block
_LEAST = 640.0
_OVER = 4.0  # lines run past their corners by so much
_ARROW, _CIRCLE = 8.0, 4.0
_TIMED = ("pulse", "on_delay", "off_delay", "flasher", "timer")


def wiring(design: Design, prefix: str = "wiring") -> str:
    """Return the wiring drawing of a design."""
    return drawn(design, plan(survey(design)), prefix, STYLE + ALONE)


def in_order(found: Plan) -> list[PlacedWire]:
    """Return the wires of a plan as they are drawn, one over the other: power first."""
    return sorted(found.wires, key=lambda one: not one.port.power)


def part_id(path: str) -> str:
    """Return the id of a part, behind the prefix."""
    return f"part-{_id(path)}"


def drawn(design: Design, found: Plan, prefix: str, style: str = "") -> str:
    """Return the drawing of a plan, with its rules of style unless a page brings them (STYLE)."""
    width = max(found.width + 2 * _MARGIN, _LEAST)
    height = found.height + 2 * _MARGIN + _FOOT
    parts = [one for one in found.boxes if one.box.detail and one.box.kind != "tag"]
    about = _about(parts, found.wires)
    paper = sheet(
        (width, height), prefix, (f"Wiring of {design.name}", about), style, sort="wiring"
    )
    _frame(paper)
    _title_block(paper, design, about)
    _key(paper, found.wires)
    there = found.moved((width - found.width) / 2, _MARGIN)
    wires = group(paper.root, "wires")
    for number, wire in enumerate(in_order(there)):
        _wire(paper, wires, number, wire)
    boxes = group(paper.root, "boxes")
    for number, one in enumerate(there.boxes):
        _box(paper, boxes, number, one)
    return paper.text()


def _about(parts: Sequence[PlacedBox], wires: Sequence[PlacedWire]) -> str:
    count = sum(not key.startswith("tag ") for wire in wires for key, _ in wire.targets)
    return f"{_counted(len(parts), 'part')}, {_counted(count, 'wire')}"


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _id(name: str) -> str:
    return re.sub(r"\W", "-", name).strip("-")


# --- frame ---


def _frame(paper: Sheet) -> None:
    box(paper.root, (0, 0), (paper.width, paper.height), "ground")
    edge = 12.0
    _overshot(paper.root, (edge, edge), (paper.width - edge, paper.height - edge), "frame", 8.0)


def _overshot(
    parent: Element, start: tuple[float, float], stop: tuple[float, float], class_: str, by: float
) -> None:
    """Draw a box of four straight lines that run past their corners."""
    (left, top), (right, bottom) = start, stop
    for y in (top, bottom):
        line(parent, [(left - by, y), (right + by, y)], class_)
    for x in (left, right):
        line(parent, [(x, top - by), (x, bottom + by)], class_)


def _title_block(paper: Sheet, design: Design, about: str) -> None:
    right, bottom = paper.width - 12.0, paper.height - 12.0
    name = fitted(design.name, 260.0, 15, bold=True)
    wide = max(180.0, text_width(name, 15, bold=True) + 24, text_width(about, 11) + 24)
    block = group(paper.root, "title-block")
    for start, stop in (
        ((right - wide, bottom - 48), (right, bottom - 48)),
        ((right - wide, bottom - 48), (right - wide, bottom)),
    ):
        line(block, [start, stop], "frame")
    label(block, (right - wide + 12, bottom - 27), name, "name")
    label(block, (right - wide + 12, bottom - 10), about, "small")


def _key(paper: Sheet, wires: Sequence[PlacedWire]) -> None:
    """Tell the two sorts of wire apart in words, as far as they are there."""
    x, y = 32.0, paper.height - 32.0
    for power, words in ((False, "signal"), (True, "power")):
        if any(wire.port.power is power for wire in wires):
            entry = group(paper.root, f"wire {'power' if power else 'signal'} key")
            _strokes(entry, path([(x, y), (x + 36, y)]))
            label(paper.root, (x + 46, y + 4), words, "small")
            x += 46 + text_width(words, 12) + 28


# --- wires ---


def _strokes(parent: Element, data: str) -> None:
    for class_ in ("halo", "casing", "core", "rungs"):
        add(parent, "path", d=data, class_=class_)


def _wire(paper: Sheet, parent: Element, number: int, wire: PlacedWire) -> None:
    sort = "power" if wire.port.power else "signal"
    element = group(
        parent,
        f"wire {sort}",
        id=paper.id(f"wire-{number}"),
        data_net=wire.port.path,
        data_source=wire.key,
    )
    told = ", ".join(f"{key} {port.name}".rstrip() for key, port in wire.targets)
    add(element, "title").text = f"{wire.port.path or wire.key} to {told}"
    _strokes(element, "".join(path(segment) for segment in wire.segments))
    for x, y in wire.joints:
        add(element, "circle", cx=x, cy=y, r=3.4, class_="joint")
    for (x, y), (_, port) in zip(wire.ends, wire.targets, strict=True):
        _end(element, x, y, port)
    if wire.port.power:
        levels = [one for one in wire.segments if one[0][1] == one[1][1]]
        start, stop = max(levels, key=lambda one: one[1][0] - one[0][0])
        label(element, ((start[0] + stop[0]) / 2, start[1] + 4), "", "amount")


def _end(parent: Element, x: float, y: float, port: Port) -> None:
    """Draw the end of a wire at its input: a socket for power, else a tip."""
    if port.power:
        line(parent, [(x - 7, y - 6), (x - 1, y - 6), (x - 1, y + 6), (x - 7, y + 6)], "socket")
        return
    if port.negated:
        add(parent, "circle", cx=x - _CIRCLE, cy=y, r=_CIRCLE, class_="not")
        x -= 2 * _CIRCLE
    area(parent, [(x - _ARROW, y - 3.5), (x, y), (x - _ARROW, y + 3.5)], "tip")


# --- boxes ---


def _box(paper: Sheet, parent: Element, number: int, placed: PlacedBox) -> None:
    one = placed.box
    is_part = bool(one.detail)
    name = part_id(one.key) if is_part else f"gate-{number}"
    element = group(parent, "part" if is_part else "gate", id=paper.id(name), data_kind=one.kind)
    if is_part:
        element.set("data-part", one.key)
    words = one.words or one.kind.replace("_", " ")
    add(element, "title").text = f"{one.title} {one.detail}".strip() or words
    left, top, right, bottom = placed.body
    if one.kind == "tag":
        _tag(element, placed)
        return
    box(element, (left, top), (right - left, bottom - top), "body")
    if one.kind in _TIMED:
        box(element, (left, bottom - 6), (right - left, 6), "strip")
    _overshot(element, (left, top), (right, bottom), "outline", _OVER)
    if one.title:
        text = label(element, (left, top - 8), title_of(one), "title")
        if one.detail:
            text.text = f"{text.text} "
            add(text, "tspan", class_="detail").text = detail_of(one)
    _ports(element, placed)
    _inside(element, placed)
    if is_part:
        label(element, (left, bottom + 17), "", "state")


def _inside(element: Element, placed: PlacedBox) -> None:
    left, top, right, bottom = placed.body
    before, behind = placed.size.margins
    x, y = (left + before + right - behind) / 2, (top + bottom) / 2
    sign = group(element, "sign")
    if placed.box.words:
        label(sign, (x, y + 4), words_of(placed.box), "words")
    else:
        # A one-shot that can be started anew has no 1 in its sign (IEC 60617-12).
        again = placed.box.kind == "pulse" and placed.box.detail.endswith(", again")
        draw_sign(sign, "pulse again" if again else placed.box.kind, x, y)


def _ports(element: Element, placed: PlacedBox) -> None:
    for at, port in enumerate(placed.box.ins):
        x, y = placed.input(at)
        mark = 9.0 if port.edge else 0.0
        item = group(element, "port", data_net=port.path)
        if port.edge:
            line(item, [(x, y - 5), (x + 8, y), (x, y + 5)], "stroke")
        label(item, (x + 6 + mark, y + 4), name_of(port), "in")
    for at, port in enumerate(placed.box.outs):
        x, y = placed.output(at)
        item = group(element, "port", data_net=port.path)
        label(item, (x - 6, y + 4), name_of(port), "out")


def _tag(element: Element, placed: PlacedBox) -> None:
    """Draw the end of a wire that goes on in another band: a flag that points along it."""
    left, top, right, bottom = placed.body
    middle = (top + bottom) / 2
    tip = 8.0
    area(
        element,
        [
            (left, top + 2),
            (right - tip, top + 2),
            (right, middle),
            (right - tip, bottom - 2),
            (left, bottom - 2),
        ],
        "flag",
    )
    label(element, ((left + right - tip) / 2, middle + 4), words_of(placed.box), "words")


_FONT = "font-family: system-ui, 'Segoe UI', 'DejaVu Sans', sans-serif;"

STYLE = f"""
.wiring text {{ {_FONT} {paint("fill", "ink")} font-variant-numeric: tabular-nums; }}
.wiring .ground {{ {paint("fill", "sheet")} }}
.wiring .frame {{ fill: none; {paint("stroke", "ink")} stroke-width: 1; }}
.wiring .name {{ font-size: 15px; font-weight: 700; }}
.wiring .small {{ font-size: 11px; {paint("fill", "ink2")} }}
.wiring .title {{ font-size: {TITLE:g}px; font-weight: 700; }}
.wiring .detail {{ font-size: {DETAIL:g}px; font-weight: 400; {paint("fill", "ink2")} }}
.wiring .state {{ font-size: {DETAIL:g}px; }}
.wiring .port text {{ font-size: {PORT:g}px; {paint("fill", "ink2")} }}
.wiring .out {{ text-anchor: end; }}
.wiring .words {{ font-size: {WORDS:g}px; text-anchor: middle; }}
.wiring .sign-text {{ font-size: 16px; font-weight: 700; text-anchor: middle; }}
.wiring .sign-small {{ font-size: 11px; font-weight: 700; text-anchor: middle; }}
.wiring .body {{ {paint("fill", "sheet")} }}
.wiring .outline, .wiring .stroke {{ fill: none; {paint("stroke", "ink")} stroke-width: 1.5; }}
.wiring .heavy {{ fill: none; {paint("stroke", "ink")} stroke-width: 3; }}
.wiring .solid {{ {paint("fill", "ink")} }}
.wiring .dashed {{ fill: none; {paint("stroke", "ink")} stroke-width: 1.2;
  stroke-dasharray: 3 2; }}
.wiring .swing {{ fill: none; {paint("stroke", "thread")} stroke-width: 1;
  stroke-dasharray: 3 3; }}
.wiring .leaf {{ fill: none; {paint("stroke", "ink")} stroke-width: 3;
  transform-box: fill-box; transform-origin: left; }}
.wiring .opening .leaf, .wiring .shutting .leaf {{ transform: rotate(35deg); }}
.wiring .open .leaf {{ transform: rotate(80deg); }}
.wiring .strip {{ fill: none; transform-box: fill-box; transform-origin: left; }}
.wiring .live .glow {{ {paint("fill", "brass")} }}
.wiring .live .body {{ {paint("fill", "sand")} }}
.wiring .live .strip {{ {paint("fill", "brass")} }}
.wiring .flag {{ {paint("fill", "sheet")} {paint("stroke", "ink2")} stroke-width: 1.2; }}
.wiring .wire path {{ fill: none; }}
.wiring .wire .halo {{ {paint("stroke", "sheet")} stroke-width: 6; }}
.wiring .wire .casing {{ {paint("stroke", "ink2")} stroke-width: 1.4; stroke-linecap: square; }}
.wiring .wire .core, .wiring .wire .rungs {{ stroke: none; }}
.wiring .power .halo {{ stroke-width: 11; }}
.wiring .power .casing {{ stroke-width: 7; }}
.wiring .power .core {{ {paint("stroke", "sheet")} stroke-width: 4.4; stroke-linecap: square; }}
.wiring .signal.live .halo {{ stroke-width: 9; }}
.wiring .signal.live .casing {{ {paint("stroke", "ink")} stroke-width: 4.6; }}
.wiring .signal.live .core {{ {paint("stroke", "brass")} stroke-width: 2;
  stroke-linecap: square; }}
.wiring .power.live .casing {{ {paint("stroke", "ink")} }}
.wiring .power.live .core {{ {paint("stroke", "brass")} }}
.wiring .power.live .rungs {{ {paint("stroke", "ink")} stroke-width: 4.4;
  stroke-dasharray: 1.2 8.8; }}
.wiring .joint, .wiring .wire .tip {{ {paint("fill", "ink2")} stroke: none; }}
.wiring .live .joint, .wiring .wire.live .tip {{ {paint("fill", "ink")} }}
.wiring .wire .not {{ {paint("fill", "sheet")} {paint("stroke", "ink")} stroke-width: 1.5; }}
.wiring .wire .socket {{ {paint("stroke", "ink")} stroke-width: 1.6; }}
.wiring .amount {{ font-size: 11px; font-weight: 700; text-anchor: middle; paint-order: stroke;
  {paint("stroke", "sheet")} stroke-width: 8px; }}
"""
