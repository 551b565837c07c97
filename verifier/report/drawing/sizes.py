"""How large boxes are, and where on them their ports are; heights in rows of the grid.

A box is a head with its title, a body with ports and symbol, and a foot for its state; a gate has a
body only. Ports stand on grid lines, two rows apart, so that wires can run straight from one to the
next.
"""

from dataclasses import dataclass

from verifier.report.drawing.scheme import Box, Port
from verifier.report.drawing.svg import fitted, text_width

GRID = 12.0
"""Units of the drawing in one row of the grid."""

TITLE, DETAIL, PORT, WORDS = 13.0, 11.0, 10.5, 12.0
"""Sizes of the fonts."""

_LONGEST = 190.0  # of a title or of words, in units
_HEAD, _FOOT = 2, 2
_PAD = 8.0
_SYMBOL = {"and": 34.0, "or": 34.0, "threshold": 40.0, "same": 30.0}
_PART = 56.0  # room for the symbol of a part
_TALL = 4


@dataclass(frozen=True, slots=True)
class Size:
    """The size of a box: its width in units, its heights in rows.

    `ins` and `outs` are the rows of its ports, counted from its top; `margins` the room beside the
    symbol that names of ports take.
    """

    width: float
    head: int
    body: int
    foot: int
    ins: tuple[int, ...]
    outs: tuple[int, ...]
    margins: tuple[float, float]

    @property
    def height(self) -> int:
        """Rows in all."""
        return self.head + self.body + self.foot


def size(box: Box) -> Size:
    """Return the size of a box."""
    is_part = bool(box.detail)
    head = _HEAD if box.title else 0
    most = max(len(box.ins), len(box.outs))
    body = max(_TALL, 2 * most) if box.kind != "tag" else 2
    left, right = _names(box.ins), _names(box.outs)
    middle = _SYMBOL.get(box.kind, _PART)
    if box.words and box.kind not in _SYMBOL:
        middle = text_width(words_of(box), WORDS) + 2 * _PAD
    width = max(left + middle + right, _headline(box))
    if box.kind == "tag":
        width = middle + _PAD
    width = -(-width // GRID) * GRID
    rows = tuple(_rows(head, body, len(ports)) for ports in (box.ins, box.outs))
    return Size(width, head, body, _FOOT if is_part else 0, rows[0], rows[1], (left, right))


def _rows(head: int, body: int, count: int) -> tuple[int, ...]:
    first = head + body // 2 - (count - 1)
    return tuple(first + 2 * at for at in range(count))


def _names(ports: tuple[Port, ...]) -> float:
    """Return the room that the names of ports take."""
    longest = max((text_width(name_of(port), PORT) for port in ports), default=0.0)
    return longest + _PAD if longest else 0.0


def _headline(box: Box) -> float:
    detail = f" {detail_of(box)}" if box.detail else ""
    return text_width(title_of(box), TITLE, bold=True) + text_width(detail, DETAIL)


def title_of(box: Box) -> str:
    """Return the title as it is drawn: cut if it is very long."""
    return fitted(box.title, _LONGEST, TITLE, bold=True)


def detail_of(box: Box) -> str:
    """Return kind and setting as they are drawn."""
    return fitted(box.detail, _LONGEST, DETAIL)


def words_of(box: Box) -> str:
    """Return the words inside a box as they are drawn."""
    return fitted(box.words, _LONGEST, WORDS)


def name_of(port: Port) -> str:
    """Return the name of a port as it is drawn; the usual output needs none."""
    return "" if port.name == "out" else fitted(port.name, _LONGEST / 2, PORT)
