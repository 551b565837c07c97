"""Letters as they may be shown: nothing that moves the cursor, turns the writing or hides itself.

File names, names and texts come from files that anyone may have sent, so whatever a terminal could
take for an order (control letters, escapes, marks that turn the direction of writing: Unicode
categories Cc, Cf, Cs, Co, Cn, Zl and Zp) is shown by its number instead.
"""

import unicodedata
from itertools import accumulate

from rich.cells import cell_len

_HIDDEN = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
_BYTE = 0x100
_BASIC = 0x10000


def letter(one: str) -> str:
    r"""Return one letter, or its number as `\x1b`, `\u202e` or `\U000e0001`."""
    if unicodedata.category(one) not in _HIDDEN:
        return one
    number = ord(one)
    if number < _BYTE:
        return f"\\x{number:02x}"
    return f"\\u{number:04x}" if number < _BASIC else f"\\U{number:08x}"


def shown(text: str) -> str:
    """Return a text in which every hidden letter is shown by its number."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(map(letter, text))


def width(text: str) -> int:
    """Return how many columns of a terminal a text takes: wide letters take two."""
    return cell_len(text)


def cut(text: str, columns: int, more: str = "…") -> str:
    """Return a text that takes at most so many columns; `more` stands for what was left out."""
    if width(text) <= columns:
        return text
    if columns < width(more):
        return ""
    ends = accumulate(map(width, text))
    kept = "".join(one for one, end in zip(text, ends, strict=True) if end <= columns - width(more))
    return kept.rstrip() + more


def padded(text: str, columns: int) -> str:
    """Return a text cut or filled with blanks so that it takes so many columns."""
    text = cut(text, columns)
    return text + " " * (columns - width(text))
