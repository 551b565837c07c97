"""Writing SVG: elements, numbers, texts that any reader may be given, and how wide a text is.

Elements are made by the standard library, so what is written is well-formed; names and texts of
designs pass through `shown`, so no control letter gets into a file.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement, tostring

from verifier.report.drawing.palette import DARK, properties
from verifier.report.letters import cut, shown, width

NAME_SPACE = "http://www.w3.org/2000/svg"

# What a letter takes of the size of its font, after the widths of a wide sans serif: a text must
# fit whichever font the reader has.
_NARROW, _USUAL, _WIDE = 0.4, 0.63, 0.98
_BOLD = 1.1


@dataclass(frozen=True, slots=True)
class Sheet:
    """A drawing in the making: its root, and the prefix of all ids in it."""

    root: Element
    prefix: str
    width: float
    height: float

    def id(self, name: str) -> str:
        """Return an id that no other drawing of a page has, if their prefixes differ."""
        return f"{self.prefix}-{name}"

    def text(self) -> str:
        """Return the drawing as a file."""
        return tostring(self.root, encoding="unicode") + "\n"


def sheet(
    size: tuple[float, float], prefix: str, words: tuple[str, str], style: str, *, sort: str
) -> Sheet:
    """Return an empty drawing of a sort, which its rules of style name.

    `words` are its title, and what it shows for those who do not see it. `style` is left out where
    it is empty.
    """
    title, about = words
    wide, high = size
    root = Element(
        "svg",
        {
            "xmlns": NAME_SPACE,
            "class": f"drawing {sort}",
            "role": "img",
            "viewBox": f"0 0 {number(wide)} {number(high)}",
            "width": number(wide),
            "height": number(high),
            "aria-labelledby": f"{prefix}-title {prefix}-about",
        },
    )
    SubElement(root, "title", {"id": f"{prefix}-title"}).text = shown(title)
    SubElement(root, "desc", {"id": f"{prefix}-about"}).text = shown(about)
    if style:
        SubElement(root, "style").text = style
    return Sheet(root, prefix, wide, high)


ALONE = f"@media (prefers-color-scheme: dark) {{ svg:root {{ {properties(DARK)} }} }}\n"
"""A file by itself follows its reader; on a page (where it is not the root) the page decides."""


def add(parent: Element, name: str, **attributes: str | float) -> Element:
    """Add an element; `class_` and `data_x` stand for `class` and `data-x`."""
    given = {
        key.rstrip("_").replace("_", "-"): one if isinstance(one, str) else number(one)
        for key, one in attributes.items()
    }
    return SubElement(parent, name, given)


def group(parent: Element, class_: str, **attributes: str | float) -> Element:
    """Add a group."""
    return add(parent, "g", class_=class_, **attributes)


def line(parent: Element, points: Sequence[tuple[float, float]], class_: str) -> Element:
    """Add an open line through points."""
    return add(parent, "path", d=path(points), class_=class_)


def area(parent: Element, points: Sequence[tuple[float, float]], class_: str) -> Element:
    """Add a closed shape."""
    return add(parent, "path", d=f"{path(points)}Z", class_=class_)


def path(points: Sequence[tuple[float, float]]) -> str:
    """Return the data of a path through points."""
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)


def box(
    parent: Element, at: tuple[float, float], size: tuple[float, float], class_: str
) -> Element:
    """Add a rectangle by its top left corner and its size."""
    return add(parent, "rect", x=at[0], y=at[1], width=size[0], height=size[1], class_=class_)


def label(parent: Element, at: tuple[float, float], text: str, class_: str) -> Element:
    """Add a text; what would not show is shown by its number."""
    element = add(parent, "text", x=at[0], y=at[1], class_=class_)
    element.text = shown(text)
    return element


def number(value: float) -> str:
    """Return a number with no more than two decimals."""
    return f"{value:.2f}".rstrip("0").rstrip(".") if value % 1 else str(int(value))


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Return about how wide a text is at most, in the units of `size`."""
    ems = sum(_ems(one) for one in shown(text))
    return ems * size * (_BOLD if bold else 1)


def _ems(one: str) -> float:
    if width(one) > 1:
        return 2 * _USUAL
    if one in "ijltfrI.,:;'|![]() ":
        return _NARROW
    return _WIDE if one in "mwMW@%—" else _USUAL + 0.1 * one.isupper()


def fitted(text: str, room: float, size: float, *, bold: bool = False) -> str:
    """Return a text, cut with a sign if it is wider than the room."""
    text = shown(text)
    letters = len(text)
    while letters > 1 and text_width(found := cut(text, letters), size, bold=bold) > room:
        letters -= 1
    return text if text_width(text, size, bold=bold) <= room else found if letters > 1 else ""
