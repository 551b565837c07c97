"""The colours of drawings and pages: three families, one job each.

Ink is structure, brass is what is live or running, blue pencil is our annotation; red pencil is
only what is broken. Every colour is a custom property (`--ink`), so that a page that sets it on
its own root sets it in the drawings too; a drawing by itself is light or dark as its reader is.
"""

from collections.abc import Mapping

LIGHT: Mapping[str, str] = {
    "bench": "#E4E8E1",  # ground of a page
    "sheet": "#FCFCF8",  # paper
    "ink": "#22282B",  # lines and text
    "ink2": "#4A5357",  # second text
    "thread": "#6F797C",  # dead rows and wires
    "hair": "#C3CAC2",  # rules between rows
    "brass": "#EDB43C",  # what is live, always with an edge of ink
    "sand": "#FBEBC2",  # what a timer has left, a part at work
    "wood": "#EEDDB0",  # the rule of time
    "wood-ink": "#3A2E12",
    "blue": "#1D5FA8",  # cursor, marks, links
    "blue-wash": "#D5E4F4",
    "red": "#B3261E",  # broken
    "red-wash": "#F8DAD4",
    "on-blue": "#FFFFFF",  # numerals on a tag
    "on-red": "#FFFFFF",
    "fold1": "#FFFFFF",  # pleats of folded time
    "fold2": "#DFE4DD",
}

DARK: Mapping[str, str] = {
    "bench": "#1F262A",
    "sheet": "#2A3338",
    "ink": "#F0EEE4",
    "ink2": "#C2C9C6",
    "thread": "#96A2A4",
    "hair": "#4D595F",
    "brass": "#D69A22",
    "sand": "#57492A",
    "wood": "#5A4A26",
    "wood-ink": "#FBEFCF",
    "blue": "#8EC5F5",
    "blue-wash": "#2F4A60",
    "red": "#FF9C8A",
    "red-wash": "#5A3430",
    "on-blue": "#14222E",
    "on-red": "#2E120D",
    "fold1": "#39444A",
    "fold2": "#1D2428",
}


def properties(colours: Mapping[str, str]) -> str:
    """Return the colours as declarations of custom properties."""
    return " ".join(f"--{name}: {value};" for name, value in colours.items())


def paint(what: str, name: str) -> str:
    """Return the declarations that paint `fill` or `stroke` with a colour, light by default.

    The plain value comes first, for readers of SVG that know no custom properties.
    """
    return f"{what}: {LIGHT[name]}; {what}: var(--{name}, {LIGHT[name]});"
