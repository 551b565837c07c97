"""The time diagram as SVG: a folding rule above, a ribbon for each row below it.

Time is laid out as in the terminal (`folding`). What a page finds in it, all under the root
`svg.timeline`, with `P` the prefix it was given:

- `g.panel#P-panel-N` with `data-start` and `data-end` (ticks), `data-ticks` and `data-places`: the
  ticks at which stretches begin and end, and where they lie; between two of them time runs evenly.
- `g.row#P-row-N-M` (row N on panel M) with `data-row`, the name; in it `text.now` (empty, for what
  the row is at a moment) and a `g.run` for each run, with `data-start` and `data-end`.
- `g.moment`: the plumb line at the moment that the run is about.

A page shows one panel at a time, each a drawing of its own (`sheets`); ids then begin `P-N-`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from xml.etree.ElementTree import Element

from verifier.report.clock import Axis, Clock
from verifier.report.diagram import panels_of
from verifier.report.drawing.palette import paint
from verifier.report.drawing.strips import COLUMN, Paper, strips
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
    number,
    sheet,
    text_width,
)
from verifier.report.folding import Stretch
from verifier.report.history import History, Moment
from verifier.simulate.watch import Again

_COLUMNS = 120
_MARGIN, _HEAD, _RULE, _ROW, _GAP = 20.0, 64.0, 30.0, 32.0, 28.0
_LONGEST_NAME = 180.0
_NAME, _SMALL = 12.0, 11.0
_APART = 30.0  # between two numerals
_ROLL = 56.0
_NOW = 130.0  # room for what a row is at a moment
_TAG = 7.0  # half the width of a tag


def timeline(history: History, title: str, prefix: str = "time") -> str:
    """Return the time diagram of a history; all its panels, one below the other."""
    panels = panels_of(history, _COLUMNS)
    left = _MARGIN + _names(history) + 16
    widest = max(sum(one.columns for one in panel) for panel in panels) * COLUMN
    each = _HEAD + _RULE + _ROW * len(history.rows) + _GAP
    size = (left + widest + _ROLL + _MARGIN, each * len(panels) + _MARGIN)
    words = f"What happens in {title}", _about(history)
    paper = sheet(size, prefix, words, STYLE + ALONE, sort="timeline")
    box(paper.root, (0, 0), size, "ground")
    for at, panel in enumerate(panels):
        _panel(paper, history, Paper(panel, left), at, each * at)
    if panels[-1][-1].end == history.length and history.again is not None:
        _roll(paper, history.again, Paper(panels[-1], left), each * (len(panels) - 1))
    return paper.text()


@dataclass(frozen=True, slots=True)
class Mark:
    """A numbered tag that touches a row where something happens."""

    row: str
    tick: int
    label: str
    broken: bool = False


def sheets(
    history: History, title: str, prefix: str, marks: Sequence[Mark] = ()
) -> list[tuple[int, str]]:
    """Return the panels of a whole run as drawings without rules of style, each with its end."""
    panels = panels_of(history, _COLUMNS, len(history.events))
    left = _MARGIN + _names(history) + _NOW + 16
    widest = max(sum(one.columns for one in panel) for panel in panels) * COLUMN
    size = (left + widest + _ROLL + _MARGIN, _HEAD + _RULE + _ROW * len(history.rows) + _GAP)
    found = []
    for at, panel in enumerate(panels):
        words = f"What happens in {title}", _about(history)
        paper = sheet(size, f"{prefix}-{at}", words, "", sort="timeline")
        strip = Paper(panel, left, _NOW)
        box(paper.root, (0, 0), size, "ground")
        _panel(paper, history, strip, 0, 0.0)
        if at == len(panels) - 1 and history.again is not None:
            _roll(paper, history.again, strip, 0.0)
        _tags(paper.root, history, strip, marks)
        found.append((panel[-1].end, paper.text()))
    return found


def _names(history: History) -> float:
    """Return the room that the names of rows take."""
    names = [f"{row.name}  {row.note}".rstrip() for row in history.rows]
    widest = max((text_width(name, _NAME, bold=True) for name in names), default=0.0)
    return min(widest, _LONGEST_NAME)


def _about(history: History) -> str:
    about = f"{len(history.rows)} rows over {history.clock.span(history.length)}"
    if history.moment is None:
        return about
    return f"{about}; {history.clock.moment(history.moment.tick)}: {history.moment.words}"


def _tags(parent: Element, history: History, strip: Paper, marks: Sequence[Mark]) -> None:
    """Put tags over the rows, those of one place side by side."""
    taken: dict[tuple[str, int], int] = {}
    rows = {row.name: at for at, row in reversed(list(enumerate(history.rows)))}
    for mark in marks:
        if mark.row not in rows or not strip.panel[0].start <= mark.tick < strip.panel[-1].end:
            continue
        before = taken[mark.row, mark.tick] = taken.get((mark.row, mark.tick), -1) + 1
        x = strip.x(mark.tick) + before * 2 * _TAG
        y = _HEAD + _RULE + _ROW * (rows[mark.row] + 0.75) - 8
        element = group(parent, "tag broken-at" if mark.broken else "tag")
        corners = [(x - _TAG, y - 12), (x + _TAG, y - 12), (x + _TAG, y - 2), (x, y + 4)]
        area(element, [*corners, (x - _TAG, y - 2)], "point")
        label(element, (x, y - 2), mark.label, "numeral")


def _panel(paper: Sheet, history: History, strip: Paper, at: int, top: float) -> None:
    panel = strip.panel
    ticks = [*(one.start for one in panel), panel[-1].end]
    element = group(
        paper.root,
        "panel",
        id=paper.id(f"panel-{at}"),
        data_start=str(ticks[0]),
        data_end=str(ticks[-1]),
        data_ticks=" ".join(map(str, ticks)),
        data_places=" ".join(map(number, strip.edges)),
    )
    rule = top + _HEAD
    bottom = rule + _RULE + _ROW * len(history.rows) + 6
    _pleats(element, strip, rule + _RULE + 6, bottom)
    _rule(element, history, strip, rule)
    for row_at, row in enumerate(history.rows):
        y = rule + _RULE + _ROW * (row_at + 0.75)
        item = group(
            element,
            "row asked" if row.asked else "row",
            id=paper.id(f"row-{row_at}-{at}"),
            data_row=row.name,
        )
        line(item, [(_MARGIN, y + 16), (strip.left - 10, y + 16)], "hair")
        room = strip.left - _MARGIN - 12 - max(strip.now, text_width(row.note, _SMALL))
        label(item, (_MARGIN, y + 4), fitted(row.name, room, _NAME, bold=True), "title")
        label(item, (strip.left - 10, y + 4), row.note, "now")
        strips(item, row, strip, y, history.clock)
    moment = history.moment
    if moment is not None and ticks[0] <= moment.tick < ticks[-1]:
        _moment(element, history.clock, moment, strip, (rule, bottom))


def _pleats(parent: Element, strip: Paper, top: float, bottom: float) -> None:
    for one, left in zip(strip.panel, strip.edges, strict=False):
        if not one.folded:
            continue
        corners = strip.pleats(one, left)
        for at, (here, there) in enumerate(pairwise(corners)):
            shape = [
                (here.x, top - here.rise),
                (there.x, top - there.rise),
                (there.x, bottom - there.rise),
                (here.x, bottom - here.rise),
            ]
            area(parent, shape, f"fold{1 + at % 2}")


# --- the rule ---


def _rule(parent: Element, history: History, strip: Paper, top: float) -> None:
    """Draw the rule: wood where time is even, a gap between two hinges where it is folded."""
    rule = group(parent, "rule")
    for start, stop in _woods(strip):
        box(rule, (start, top), (stop - start, _RULE), "wood")
    for one, left in zip(strip.panel, strip.edges, strict=False):
        right = left + one.columns * COLUMN
        if one.folded:
            _fold(rule, strip, one, (left, right), top)
        else:
            _marks(rule, one, left, right, top)
    _numerals(rule, history, strip, top)


def _woods(strip: Paper) -> list[tuple[float, float]]:
    """Return the stretches of wood between the folds."""
    found: list[tuple[float, float]] = []
    start = strip.edges[0]
    for one, left in zip(strip.panel, strip.edges, strict=False):
        if one.folded:
            found.append((start, left + COLUMN / 2))
            start = left + (one.columns - 0.5) * COLUMN
    found.append((start, strip.edges[-1]))
    return found


def _fold(
    parent: Element, strip: Paper, one: Stretch, sides: tuple[float, float], top: float
) -> None:
    middle = top + _RULE - 9
    corners = strip.pleats(one, sides[0])
    line(parent, [(spot.x, middle - spot.rise / 2 + 1.5) for spot in corners], "zigzag")
    for spot in (corners[0], corners[-1]):
        add(parent, "circle", cx=spot.x, cy=middle, r=4, class_="hinge")
    label(parent, ((sides[0] + sides[1]) / 2, top - 10), one.words, "length")


def _marks(parent: Element, one: Stretch, left: float, right: float, top: float) -> None:
    """Draw graduations: a mark for each tick, or none if they were too close."""
    ticks = one.end - one.start
    if (right - left) / ticks < 4:  # noqa: PLR2004 - units between two marks
        return
    for at in range(1, ticks):
        x = left + (right - left) * at / ticks
        high = 9 if at % 5 == 0 else 5
        line(parent, [(x, top + _RULE), (x, top + _RULE - high)], "mark")


def _numerals(parent: Element, history: History, strip: Paper, top: float) -> None:
    """Write numerals at events; one that would touch another is left out, not cut."""
    axis = Axis(history.clock, history.length)
    label(parent, (strip.left - 10, top + 19), axis.unit, "unit")
    ticks = [*(one.start for one in strip.panel), strip.panel[-1].end]
    at_moment = history.moment.tick if history.moment is not None else -1
    taken: list[tuple[float, float]] = []
    for tick in sorted(ticks, key=lambda one: (one != at_moment, one != ticks[0], one)):
        x = strip.x(tick)
        line(parent, [(x, top + _RULE), (x, top + _RULE - 12)], "mark")
        if tick in history.events:
            y = top + _RULE + 5
            area(parent, [(x - 4, y), (x, y - 4), (x + 4, y), (x, y + 4)], "solid")
        text = axis.numeral(tick)
        half = max(text_width(text, _SMALL) + 4, _APART) / 2
        middle = min(max(x, strip.edges[0] + half), strip.edges[-1] - half)
        if all(middle + half <= start or stop <= middle - half for start, stop in taken):
            taken.append((middle - half, middle + half))
            label(parent, (middle, top + 12), text, "numeral")


def _moment(
    parent: Element, clock: Clock, moment: Moment, strip: Paper, sides: tuple[float, float]
) -> None:
    """Draw a plumb line: a rider on the rule, a bob below, and the words for it above."""
    rule, bottom = sides
    element = group(parent, "moment broken-at" if moment.broken else "moment")
    x = strip.x(moment.tick)
    line(element, [(x, rule), (x, bottom + 4)], "plumb")
    area(
        element,
        [(x - 7, rule - 8), (x + 7, rule - 8), (x + 7, rule), (x, rule + 5), (x - 7, rule)],
        "rider",
    )
    area(
        element,
        [
            (x - 4, bottom + 4),
            (x + 4, bottom + 4),
            (x + 5, bottom + 13),
            (x, bottom + 22),
            (x - 5, bottom + 13),
        ],
        "rider",
    )
    words = f"{clock.moment(moment.tick)}  {moment.words}"
    room = strip.edges[-1] - x
    right = text_width(words, _NAME, bold=True) > room
    label(element, (x - 8 if right else x + 8, rule - 30), words, "said end" if right else "said")


def _roll(paper: Sheet, again: Again, strip: Paper, top: float) -> None:
    """Draw what comes again as a tape that is still rolled up."""
    x, y = strip.edges[-1] + 16, top + _HEAD + _RULE / 2
    element = group(paper.root, "roll")
    add(element, "circle", cx=x, cy=y, r=15, class_="wood")
    for radius in (10, 6, 2.5):
        add(element, "circle", cx=x, cy=y, r=radius, class_="zigzag")
    times = again.times
    words = "for ever" if times is None else f"× {times} more"
    label(element, (strip.edges[-1] + _ROLL, y - 22), words, "length end")


STYLE = f"""
.timeline text {{ font-family: system-ui, 'Segoe UI', 'DejaVu Sans', sans-serif;
  {paint("fill", "ink")} font-variant-numeric: tabular-nums; font-size: {_SMALL:g}px; }}
.timeline .ground {{ {paint("fill", "sheet")} }}
.timeline .title {{ font-size: {_NAME:g}px; font-weight: 700; }}
.timeline .now, .timeline .unit {{ text-anchor: end; {paint("fill", "ink2")} }}
.timeline .hair {{ fill: none; {paint("stroke", "hair")} stroke-width: 1; }}
.timeline .wood {{ {paint("fill", "wood")} {paint("stroke", "wood-ink")} stroke-width: 1; }}
.timeline .mark, .timeline .zigzag {{ fill: none; {paint("stroke", "wood-ink")} stroke-width: 1; }}
.timeline .hinge {{ {paint("fill", "sheet")} {paint("stroke", "wood-ink")} stroke-width: 1.5; }}
.timeline .numeral {{ text-anchor: middle; {paint("fill", "wood-ink")} }}
.timeline .length {{ text-anchor: middle; font-weight: 700; }}
.timeline .end {{ text-anchor: end; }}
.timeline .solid {{ {paint("fill", "ink")} }}
.timeline .fold1 {{ {paint("fill", "fold1")} }}
.timeline .fold2 {{ {paint("fill", "fold2")} }}
.timeline .thread {{ fill: none; {paint("stroke", "thread")} stroke-width: 1.4; }}
.timeline .none .thread {{ stroke-dasharray: 1.5 3; }}
.timeline .full {{ {paint("fill", "brass")} {paint("stroke", "ink")} stroke-width: 1.2; }}
.timeline .sand {{ {paint("fill", "sand")} {paint("stroke", "ink")} stroke-width: 1.2; }}
.timeline .hollow, .timeline .way {{ {paint("fill", "sheet")} {paint("stroke", "ink")}
  stroke-width: 1.8; }}
.timeline .way {{ stroke-width: 0.8; }}
.timeline .tooth {{ fill: none; {paint("stroke", "ink")} stroke-width: 0.9; }}
.timeline .heavy {{ fill: none; {paint("stroke", "ink")} stroke-width: 3.2; }}
.timeline .strand {{ fill: none; {paint("stroke", "ink")} stroke-width: 1.5; }}
.timeline .starving .strand {{ {paint("stroke", "red")} stroke-dasharray: 6 3; }}
.timeline .on, .timeline .gap {{ font-size: 10.5px; }}
.timeline .gap {{ paint-order: stroke; {paint("stroke", "sheet")} stroke-width: 6px; }}
.timeline .starving .gap {{ {paint("fill", "red")} font-weight: 700; }}
.timeline .wash {{ {paint("fill", "red-wash")} {paint("stroke", "red")} stroke-width: 1.2; }}
.timeline .stitch {{ fill: none; {paint("stroke", "red")} stroke-width: 1.3; }}
.timeline .plumb {{ fill: none; {paint("stroke", "blue")} stroke-width: 1.5;
  stroke-dasharray: 5 3; }}
.timeline .rider {{ {paint("fill", "blue")} }}
.timeline .said {{ font-size: {_NAME:g}px; font-weight: 700; {paint("fill", "blue")} }}
.timeline .broken-at .said {{ {paint("fill", "red")} }}
.timeline .tag .point {{ {paint("fill", "blue")} {paint("stroke", "sheet")} stroke-width: 1; }}
.timeline .tag .numeral {{ {paint("fill", "on-blue")} font-size: 9.5px; font-weight: 700; }}
.timeline .tag.broken-at .point {{ {paint("fill", "red")} }}
.timeline .tag.broken-at .numeral {{ {paint("fill", "on-red")} }}
"""
