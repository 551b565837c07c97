"""Sentences wrapped beside a head, names in backticks set apart."""

import re
from collections.abc import Iterator

from rich.console import Console
from rich.text import Text

from verifier.report.letters import shown, width
from verifier.report.look import STRONG

_NAMES = re.compile(r"`[^`]+`")
_LEAST = 12  # columns, however narrow the terminal is


def paragraph(columns: int, head: Text, words: str, style: str = "") -> Iterator[Text]:
    """Yield words wrapped within so many columns; what does not fit stands under the words."""
    indent = width(head.plain)
    room = max(columns - indent, _LEAST)
    wrapper = Console(width=room, highlight=False, markup=False, emoji=False)
    text = Text(shown(words), style)
    text.highlight_regex(_NAMES, STRONG)
    for number, line in enumerate(text.wrap(wrapper, room)):
        line.rstrip()
        yield Text.assemble(head if number == 0 else " " * indent, line)
