# ruff: noqa: RUF001  (letters that draw look like others on purpose)
"""How reports look in a terminal: three families of colour, one job each, and the letters drawn.

Yellow is what is live or running, blue is our annotation, red is only what is broken; all else is
the terminal's own ink, and dim is for decoration alone. Where the terminal cannot show the block
letters, or shows them two columns wide, plain letters stand in.
"""

import os
from dataclasses import dataclass
from typing import IO

from rich.console import Console

LIVE = "yellow"
NOTE = "bright_blue"
BROKEN = "bold red"
STRONG = "bold"
FAINT = "dim"
INK = ""

# Languages in whose terminals the letters of "ambiguous" width (Unicode Standard Annex 11), block
# letters among them, are commonly two columns wide.
_WIDE_LANGUAGES = ("zh", "ja", "ko")


@dataclass(frozen=True, slots=True)
class Letters:
    """The letters that drawings are made of; each takes one column."""

    dead: str
    live: str
    falling: str  # from nearly run out to full
    shut: str
    opening: str
    open: str
    shutting: str
    strands: str  # none, one, two, three and more units
    between: str
    broken: str
    rule: str
    rule_start: str
    rule_end: str
    roll: str
    mark: str
    hinge: str
    folded: str
    pleat: str
    pointer: str
    press: str
    mark_line: tuple[str, str, str]  # start, middle and end of the line under the place meant
    label_line: tuple[str, str, str]
    more: str
    latch_holds: str
    latch_until: str
    latch_fails: str
    latch_unknown: str
    latch_empty: str


BLOCK = Letters(
    dead="─",
    live="▆",
    falling="▁▂▃▄▅▆",
    shut="━",
    opening="╱",
    open="═",
    shutting="╲",
    strands="·─═≡",
    between="›",
    broken="×",
    rule="─",
    rule_start="└",
    rule_end="┘",
    roll="◎",
    mark="┴",
    hinge="○",
    folded="┄",
    pleat="┊",
    pointer="▲",
    press="▸",
    mark_line=("├", "─", "┤"),
    label_line=("├", "╌", "┤"),
    more="…",
    latch_holds="┣━━┫",
    latch_until="┣━┅┫",
    latch_fails="┣╱ ┫",
    latch_unknown="┣┄┄┫",
    latch_empty="┣━━ ",
)

PLAIN = Letters(
    dead="-",
    live="#",
    falling="..::==",
    shut="_",
    opening="/",
    open="=",
    shutting="\\",
    strands=".-=+",
    between=">",
    broken="x",
    rule="-",
    rule_start="|",
    rule_end="|",
    roll="@",
    mark="'",
    hinge="o",
    folded=".",
    pleat=":",
    pointer="^",
    press=">",
    mark_line=("^", "-", "^"),
    label_line=("^", ".", "^"),
    more="~",
    latch_holds="[==]",
    latch_until="[=.]",
    latch_fails="[/ ]",
    latch_unknown="[..]",
    latch_empty="[== ",
)


def letters_for(encoding: str) -> Letters:
    """Return the letters that a stream of this encoding can show one column wide."""
    try:
        "".join((*BLOCK.mark_line, BLOCK.falling, BLOCK.hinge, BLOCK.opening)).encode(encoding)
    except (LookupError, UnicodeEncodeError):
        return PLAIN
    language = next(filter(None, map(os.environ.get, ("LC_ALL", "LC_CTYPE", "LANG"))), "")
    return PLAIN if language[:2] in _WIDE_LANGUAGES else BLOCK


class _Console(Console):
    """A console that lets the caller decide what it means that nobody reads on."""

    def on_broken_pipe(self) -> None:
        """Pass the error on; rich would leave with status 1, which says something else here."""
        raise BrokenPipeError


@dataclass(frozen=True, slots=True)
class Board:
    """Where a report is written: a console and the letters it can show."""

    console: Console
    letters: Letters

    @property
    def width(self) -> int:
        """How many columns there are; never fewer than a name and a few marks need."""
        return max(self.console.width, 40)


def board(file: IO[str], columns: int | None = None) -> Board:
    """Return a board over a stream; colour only on a terminal, and never where NO_COLOR is set."""
    console = _Console(
        file=file, highlight=False, markup=False, emoji=False, soft_wrap=True, width=columns
    )
    return Board(console, letters_for(getattr(file, "encoding", None) or "utf-8"))
