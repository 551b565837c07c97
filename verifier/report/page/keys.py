"""The key of a page: each sign of the time diagram drawn once, with its meaning."""

from collections.abc import Iterator
from xml.etree.ElementTree import Element, tostring

from verifier.report.clock import Clock
from verifier.report.drawing.strips import COLUMN, Paper, strips
from verifier.report.drawing.svg import NAME_SPACE, number
from verifier.report.folding import Stretch
from verifier.report.history import Amount, Kept, Leaf, Left, Level, Place, Row, Run, State
from verifier.report.page.model import KeyLine

_TICKS, _COLUMNS = 10, 8
_WIDE, _HIGH = _COLUMNS * COLUMN + 2, 26.0

_SIGNS: tuple[tuple[State, str], ...] = (
    (Level(live=True), "live"),
    (Level(live=False), "dead, or a claim that is kept"),
    (Left(_TICKS, _TICKS, falls=True), "a timer, with what it has left"),
    (Leaf.SHUT, "a door that is shut"),
    (Leaf.OPENING, "opening"),
    (Leaf.OPEN, "open"),
    (Leaf.SHUTTING, "shutting"),
    (Amount(3, 0, units=True), "units of power, a strand each up to four"),
    (Amount(1, 2, units=True), "starving: fewer units than it needs"),
    (Place("lawn"), "someone in a room"),
    (Place("lawn -> grotto", between=True), "on the way between two"),
    (Kept(broken=True), "a claim that is broken"),
)


def key(clock: Clock) -> Iterator[KeyLine]:
    """Yield the signs."""
    paper = Paper([Stretch(0, _TICKS, _COLUMNS)], 1.0)
    for state, words in _SIGNS:
        root = Element(
            "svg",
            {
                "xmlns": NAME_SPACE,
                "class": "drawing timeline",
                "aria-hidden": "true",
                "viewBox": f"0 0 {number(_WIDE)} {number(_HIGH)}",
                "width": number(_WIDE),
                "height": number(_HIGH),
            },
        )
        strips(root, Row("", (Run(0, _TICKS, state),)), paper, _HIGH / 2, clock)
        yield KeyLine(tostring(root, encoding="unicode"), words)
