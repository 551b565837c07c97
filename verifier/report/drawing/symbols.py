"""The sign inside the box of a part.

IEC 60617 where that standard has one: lamp (part 8), bell (8), coil and change-over contact (7),
gates, delays, one-shot, oscillator, counter and the marks of inputs (12). For the rest our own: a
door in plan with its leaf, a dome for a button, a stick for a lever, a fork for a divider, three
bars for a supply. A kind without a sign here is a plain box with its name.

Every sign is drawn around a centre, at most 48 units wide and 32 high.
"""

from collections.abc import Callable, Mapping
from math import cos, pi, sin
from xml.etree.ElementTree import Element

from verifier.report.drawing.svg import add, area, box, label, line

Sign = Callable[[Element, float, float], None]


def draw_sign(parent: Element, kind: str, x: float, y: float) -> None:
    """Draw the sign of a kind around a point, if it has one."""
    text = _TEXTS.get(kind)
    sign = _SIGNS.get(kind)
    if text is not None:
        label(parent, (x, y + 5), text, "sign-text")
    if sign is not None:
        sign(parent, x, y)


_TEXTS: Mapping[str, str] = {
    "and": "&",
    "or": "≥1",
    "same": "1",
    "and_gate": "&",
    "inhibit": "&",
    "or_gate": "≥1",
    "xor_gate": "=1",
    "not_gate": "1",
    "counter": "CTR",
    "latch": "SR",
    "toggle": "T",
}


def _supply(parent: Element, x: float, y: float) -> None:
    for at, half in ((-8, 16), (0, 8), (8, 16)):
        line(parent, [(x - half, y + at), (x + half, y + at)], "heavy")


def _divider(parent: Element, x: float, y: float) -> None:
    line(parent, [(x - 20, y), (x - 2, y)], "stroke")
    for way in (-1, 1):
        line(parent, [(x - 2, y), (x + 8, y + way * 10), (x + 20, y + way * 10)], "stroke")


def _tap(parent: Element, x: float, y: float) -> None:
    line(parent, [(x - 20, y - 8), (x + 20, y - 8)], "stroke")
    line(parent, [(x - 8, y - 8), (x + 2, y + 8), (x + 20, y + 8)], "stroke")
    area(parent, [(x - 4, y - 3), (x + 3, y - 1), (x - 3, y + 5)], "solid")


def _busbar(parent: Element, x: float, y: float) -> None:
    line(parent, [(x, y - 14), (x, y + 14)], "heavy")
    for at in (-8, 8):
        line(parent, [(x - 18, y + at), (x, y + at)], "stroke")
    line(parent, [(x, y), (x + 18, y)], "stroke")


def _relay(parent: Element, x: float, y: float) -> None:
    box(parent, (x - 22, y - 6), (14, 12), "stroke")
    line(parent, [(x - 8, y), (x + 8, y)], "dashed")
    line(parent, [(x + 10, y + 14), (x + 10, y + 8), (x + 5, y - 7)], "stroke")
    line(parent, [(x + 4, y - 14), (x + 4, y - 6), (x + 8, y - 6)], "stroke")
    line(parent, [(x + 16, y - 14), (x + 16, y - 6)], "stroke")


def _lamp(parent: Element, x: float, y: float) -> None:
    add(parent, "circle", cx=x, cy=y, r=12, class_="stroke glow")
    reach = 12 * cos(pi / 4)
    line(parent, [(x - reach, y - reach), (x + reach, y + reach)], "stroke")
    line(parent, [(x - reach, y + reach), (x + reach, y - reach)], "stroke")


def _bell(parent: Element, x: float, y: float) -> None:
    dome = f"M{x - 13} {y + 5}A13 13 0 0 1 {x + 13} {y + 5}Z"
    add(parent, "path", d=dome, class_="stroke glow")
    for at in (-4, 4):
        line(parent, [(x + at, y + 5), (x + at, y + 13)], "stroke")


def _load(parent: Element, x: float, y: float) -> None:
    box(parent, (x - 18, y - 7), (36, 14), "stroke glow")


def _door(parent: Element, x: float, y: float) -> None:
    """A doorway in plan, the leaf shut; its hinge is on the left."""
    for left, right in ((-24, -13), (13, 24)):
        box(parent, (x + left, y - 11), (right - left, 6), "solid")
    add(parent, "path", d=f"M{x + 13} {y - 8}A26 26 0 0 1 {x - 13} {y + 18}", class_="swing")
    add(parent, "path", d=f"M{x - 13} {y - 8}h26", class_="leaf")


def _button(parent: Element, x: float, y: float) -> None:
    dome = f"M{x - 13} {y + 4}A13 13 0 0 1 {x + 13} {y + 4}Z"
    add(parent, "path", d=dome, class_="stroke glow knob")
    line(parent, [(x - 20, y + 4), (x + 20, y + 4)], "stroke")
    line(parent, [(x - 20, y + 10), (x - 20, y + 4)], "stroke")
    line(parent, [(x + 20, y + 10), (x + 20, y + 4)], "stroke")


def _lever(parent: Element, x: float, y: float) -> None:
    box(parent, (x - 16, y + 6), (32, 6), "stroke")
    line(parent, [(x, y + 6), (x - 8, y - 8)], "heavy")
    add(parent, "circle", cx=x - 9, cy=y - 10, r=4, class_="stroke glow")


def _plate(parent: Element, x: float, y: float) -> None:
    area(
        parent, [(x - 20, y + 2), (x + 20, y + 2), (x + 15, y - 4), (x - 15, y - 4)], "stroke glow"
    )
    for at in (-9, 9):
        line(
            parent,
            [(x + at, y + 2), (x + at + 3, y + 5), (x + at - 3, y + 8), (x + at, y + 11)],
            "stroke",
        )


def _daylight(parent: Element, x: float, y: float) -> None:
    add(parent, "path", d=f"M{x - 8} {y + 6}A8 8 0 0 1 {x + 8} {y + 6}", class_="stroke glow")
    line(parent, [(x - 20, y + 6), (x + 20, y + 6)], "stroke")
    for ray in (0.17, 0.33, 0.5, 0.67, 0.83):
        far, up = cos(ray * pi), sin(ray * pi)
        line(parent, [(x + 11 * far, y + 6 - 11 * up), (x + 16 * far, y + 6 - 16 * up)], "stroke")


def _pulse(parent: Element, x: float, y: float) -> None:
    label(parent, (x - 11, y + 5), "1", "sign-text")
    _wave(parent, x + 7, y, 1)


def _pulse_again(parent: Element, x: float, y: float) -> None:
    _wave(parent, x, y, 1)


def _flasher(parent: Element, x: float, y: float) -> None:
    label(parent, (x - 15, y + 5), "G", "sign-text")
    _wave(parent, x + 9, y, 2)


def _wave(parent: Element, x: float, y: float, count: int) -> None:
    wide = 9
    start = x - wide * (count - 0.5)
    points = [(start - 4, y + 6)]
    for at in range(count):
        left = start + at * 2 * wide
        points += [(left, y + 6), (left, y - 6), (left + wide, y - 6), (left + wide, y + 6)]
    points.append((points[-1][0] + 4, y + 6))
    line(parent, points, "stroke")


def _delay(early: str, late: str) -> Sign:
    """Return the sign of a delay: by so much when it goes live, by so much when it goes dead."""

    def sign(parent: Element, x: float, y: float) -> None:
        line(parent, [(x - 18, y + 6), (x + 18, y + 6)], "stroke")
        for at in (-18, 18):
            line(parent, [(x + at, y + 1), (x + at, y + 11)], "stroke")
        label(parent, (x - 11, y), early, "sign-small")
        label(parent, (x + 11, y), late, "sign-small")

    return sign


def _edge(parent: Element, x: float, y: float) -> None:
    line(parent, [(x - 14, y + 8), (x, y + 8), (x, y - 8), (x + 14, y - 8)], "stroke")
    area(parent, [(x - 4, y + 3), (x + 4, y + 3), (x, y - 4)], "solid")


def _walker(parent: Element, x: float, y: float) -> None:
    add(parent, "circle", cx=x, cy=y - 7, r=5, class_="stroke glow")
    area(parent, [(x, y - 2), (x + 9, y + 13), (x - 9, y + 13)], "stroke glow")


def _timer(parent: Element, x: float, y: float) -> None:
    area(parent, [(x - 8, y - 12), (x + 8, y - 12), (x - 8, y + 12), (x + 8, y + 12)], "stroke")


def _kept(parent: Element, x: float, y: float) -> None:
    """A pin in a board: it stays where it was put."""
    line(parent, [(x - 14, y + 12), (x + 14, y + 12)], "stroke")
    line(parent, [(x, y - 2), (x, y + 12)], "stroke")
    add(parent, "circle", cx=x, cy=y - 7, r=5, class_="stroke glow")


def _free(parent: Element, x: float, y: float) -> None:
    line(parent, [(x - 14, y + 8), (x, y - 10), (x + 14, y + 8)], "stroke")


_SIGNS: Mapping[str, Sign] = {
    "supply": _supply,
    "divider": _divider,
    "tap": _tap,
    "busbar": _busbar,
    "relay": _relay,
    "lamp": _lamp,
    "bell": _bell,
    "load": _load,
    "door": _door,
    "button": _button,
    "lever": _lever,
    "plate": _plate,
    "daylight": _daylight,
    "pulse": _pulse,
    "pulse again": _pulse_again,
    "flasher": _flasher,
    "on_delay": _delay("t", "0"),
    "off_delay": _delay("0", "t"),
    "edge": _edge,
    "walker": _walker,
    "timer": _timer,
    "kept": _kept,
    "free": _free,
}
