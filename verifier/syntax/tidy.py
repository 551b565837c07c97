"""Bringing a text to the one layout, with all its comments.

A comment at the end of a line stays with the statement that ends there; one on lines of its own
stays before what follows it; one inside a statement goes before that statement.
"""

import re
from collections import deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.syntax.layout import Role, Row, laid_out
from verifier.syntax.parse import parse
from verifier.syntax.write import Unit, units

_MARK = re.compile(r'"(?:[^"\\\n]|\\.)*"|#[^\r\n]*|\{')
_BLANK_LINE = re.compile(r"\n[ \t\r]*\n")


def tidy(source: Source, collector: Collector) -> str | None:
    """Return the text in the canonical layout, or None if it can't be read.

    Reading the result gives the same tree; every comment is kept, and so are blank lines between
    statements, one at a time. Tidying once more changes nothing.
    """
    file = parse(source, collector)
    if file is None:
        return None
    marks = list(_MARK.finditer(source.text))
    comments = deque(
        _Comment(one.start(), one.end(), one[0].rstrip()) for one in marks if one[0][0] == "#"
    )
    braces = [one.start() for one in marks if one[0] == "{"]
    placed = (_placed(unit, braces) for unit in units(file))
    return laid_out(_Weaver(source.text, comments).rows(placed))


@dataclass(frozen=True, slots=True)
class _Comment:
    """A comment and where it stands."""

    start: int
    end: int
    text: str


@dataclass(frozen=True, slots=True)
class _Placed:
    """A row and where it stands in the text."""

    start: int
    end: int
    row: Row


def _placed(unit: Unit, braces: list[int]) -> _Placed:
    """Tell from where to where a unit reaches: a head ends with its brace."""
    start, end = unit.span.start, unit.span.end
    if unit.row.role is Role.HEAD:
        end = 1 + next(brace for brace in braces if brace >= start)
    return _Placed(start, end, unit.row)


@dataclass(slots=True)
class _Weaver:
    """Puts comments between rows, and sees where blank lines stood."""

    text: str
    comments: deque[_Comment]
    end: int = 0  # of what was woven in last

    def rows(self, placed: Iterable[_Placed]) -> Iterator[Row]:
        """Yield all rows and comments in order."""
        last: Row | None = None
        for one in placed:
            between = self._before(one.start)
            yield from self._closed(last, between)
            inside = one.row.depth + (one.row.role is Role.END)
            yield from self._own_lines(between, inside)
            apart = self._is_apart(one.start)
            for comment in self._before(one.end):
                yield Row(one.row.depth, comment.text, Role.REMARK, apart=apart)
                apart = False
            last = replace(one.row, apart=apart)
            self.end = one.end
        between = self._before(len(self.text))
        yield from self._closed(last, between)
        yield from self._own_lines(between, 0)

    def _before(self, offset: int) -> deque[_Comment]:
        """Take the comments that begin before a place."""
        taken: deque[_Comment] = deque()
        while self.comments and self.comments[0].start < offset:
            taken.append(self.comments.popleft())
        return taken

    def _closed(self, last: Row | None, after: deque[_Comment]) -> Iterator[Row]:
        """Yield a row with the comment at the end of its line, taken from those after it."""
        if last is None:
            return
        if after and "\n" not in self.text[self.end : after[0].start]:
            first = after.popleft()
            self.end = first.end
            last = replace(last, remark=first.text)
        yield last

    def _own_lines(self, comments: deque[_Comment], depth: int) -> Iterator[Row]:
        for one in comments:
            yield Row(depth, one.text, Role.REMARK, apart=self._is_apart(one.start))
            self.end = one.end

    def _is_apart(self, start: int) -> bool:
        return _BLANK_LINE.search(self.text[self.end : start]) is not None
