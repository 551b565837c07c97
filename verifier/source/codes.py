"""Pages that explain the codes of diagnostics, one text file a code, shipped with the package.

A page is Markdown: a headline, what it means, a broken and a mended example. The examples are whole
designs in fenced blocks, so that tests can run them.
"""

import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

_FOLDER = files("verifier.source").joinpath("pages")
_FENCE = re.compile(
    r"^```latch(?: (?P<name>[\w.-]+))?\n(?P<text>.*?)^```$", re.MULTILINE | re.DOTALL
)
_BYTE = re.compile(r"\\x([0-9a-f]{2})")
_AND_SO_ON = re.compile(r"^(?P<line>.*\n) *# and so on, (?P<times>\d+) times\n", re.MULTILINE)

MAIN = "example.latch"


@dataclass(frozen=True, slots=True)
class Example:
    """Files that stand side by side, by name; the design is the one called `MAIN`."""

    files: tuple[tuple[str, bytes], ...]


@dataclass(frozen=True, slots=True)
class Page:
    """The page of one code; `text` is the whole of it, to be shown."""

    code: str
    headline: str
    text: str
    broken: Example
    mended: Example


@cache
def codes() -> tuple[str, ...]:
    """Return every code that has a page, sorted."""
    names = (one.name for one in _FOLDER.iterdir())
    return tuple(sorted(name.removesuffix(".md") for name in names if name.endswith(".md")))


def page(code: str) -> Page | None:
    """Return the page of a code, or None for a word that is no code."""
    if code not in codes():
        return None
    text = _FOLDER.joinpath(f"{code}.md").read_text(encoding="utf-8")
    headline = text.partition("\n")[0].removeprefix("# ")
    parts = dict(one.split("\n", 1) for one in re.split(r"^## ", text, flags=re.MULTILINE)[1:])
    return Page(code, headline, text, _example(parts["Broken"]), _example(parts["Mended"]))


def _example(text: str) -> Example:
    r"""Collect the fenced files of a section.

    In one, `\xff` stands for that byte, and a comment `and so on, N times` for N lines in all like
    the one above it.
    """
    found = [(one["name"] or MAIN, _bytes(one["text"])) for one in _FENCE.finditer(text)]
    return Example(tuple(found))


def _bytes(text: str) -> bytes:
    whole = _AND_SO_ON.sub(lambda one: one["line"] * int(one["times"]), text)
    return b"".join(
        bytes.fromhex(one) if at % 2 else one.encode() for at, one in enumerate(_BYTE.split(whole))
    )
