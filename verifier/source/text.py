"""Source texts and the places in them.

A span is a pair of offsets into one text; line and column are worked out only when a person is to
see them.
"""

import re
from bisect import bisect_right
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, eq=False)
class Source:
    """One text and the name under which people know it (a path, or `<parts>`)."""

    name: str
    text: str
    starts: tuple[int, ...] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Note where each line starts."""
        ends = re.finditer("\n", self.text)
        object.__setattr__(self, "starts", (0, *(one.end() for one in ends)))

    def line_of(self, offset: int) -> int:
        """Return the line, counted from 1, that holds an offset."""
        return bisect_right(self.starts, offset)

    def column_of(self, offset: int) -> int:
        """Return the column, counted from 1, of an offset in its line."""
        return offset - self.starts[self.line_of(offset) - 1] + 1

    def line_text(self, line: int) -> str:
        """Return one line, counted from 1, without its end."""
        start = self.starts[line - 1]
        end = self.starts[line] if line < len(self.starts) else len(self.text)
        return self.text[start:end].rstrip("\r\n")


@dataclass(frozen=True, slots=True)
class Span:
    """The letters from `start` up to, not including, `end` of a source."""

    source: Source
    start: int
    end: int

    @property
    def line(self) -> int:
        """The line, counted from 1, on which the span starts."""
        return self.source.line_of(self.start)

    @property
    def column(self) -> int:
        """The column, counted from 1, at which the span starts."""
        return self.source.column_of(self.start)

    @property
    def text(self) -> str:
        """The letters of the span themselves."""
        return self.source.text[self.start : self.end]

    @property
    def quoted(self) -> str:
        """The letters in one line, without comments: what may be quoted in a sentence."""
        lines = (line.split("#")[0] for line in self.text.splitlines())
        return " ".join(" ".join(lines).split())

    def to(self, other: "Span") -> "Span":
        """Return the span from the start of this one to the end of the other."""
        return Span(self.source, self.start, max(self.end, other.end))
