"""Setting a design in lines: indents, columns, blank lines, remarks at the ends of lines."""

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from enum import Enum, auto

WIDTH = 100
_INDENT = "  "
_GAP = "  "

# Where a long line may go on in the next: not in a text, nor within a word of several parts.
_PIECE = re.compile(
    r'(?:"(?:[^"\\]|\\.)*"|[^"])+?'
    r"(?:(?<=,) |\Z| (?=(?:->|and|or|when|else|leads to|only after|then) ))",
    re.DOTALL,
)


class Role(Enum):
    """What a row is, as far as its surroundings are laid out by it."""

    USE = auto()
    HEAD = auto()
    END = auto()
    PART = auto()
    STATEMENT = auto()
    REMARK = auto()


@dataclass(frozen=True, slots=True)
class Row:
    """A statement, a head, a closing brace or a remark of its own, with the remark after it.

    A head may have several lines. `name` is how long the name of a part is, `apart` whether a blank
    line stands before the row.
    """

    depth: int
    text: str
    role: Role
    name: int = 0
    remark: str = ""
    apart: bool = False


def laid_out(rows: Iterable[Row]) -> str:
    """Set rows in lines."""
    spaced = _spaced(rows)
    parts = _by_runs(spaced, lambda row: row.role is Role.PART, _in_columns)
    lines = (replace(row, text=_indented(row)) for row in parts)
    done = _by_runs(lines, lambda row: bool(row.remark), _with_remarks)
    return "".join(("\n" if row.apart else "") + row.text + "\n" for row in done)


def _spaced(rows: Iterable[Row]) -> Iterator[Row]:
    """Settle where blank lines stand."""
    before: Row | None = None
    for row in rows:
        yield replace(row, apart=before is not None and _is_apart(before, row))
        before = row


def _is_apart(before: Row, row: Row) -> bool:
    if before.depth == 0 and before.role is Role.END:
        return True
    if before.role is Role.USE and row.role is Role.HEAD:
        return True
    return row.apart and before.role is not Role.HEAD and row.role is not Role.END


def _by_runs(
    rows: Iterable[Row], belongs: Callable[[Row], bool], change: Callable[[list[Row]], list[Row]]
) -> Iterator[Row]:
    """Change each run of rows that belong together: one below the other, equally far in."""
    run: list[Row] = []
    for row in rows:
        if run and (not belongs(row) or row.apart or row.depth != run[-1].depth):
            yield from change(run)
            run = []
        if belongs(row):
            run.append(row)
        else:
            yield row
    yield from change(run)


def _in_columns(run: list[Row]) -> list[Row]:
    """Put the colons of parts under each other."""
    width = max((row.name for row in run), default=0)
    return [
        replace(row, text=row.text[: row.name].ljust(width) + row.text[row.name :]) for row in run
    ]


def _with_remarks(run: list[Row]) -> list[Row]:
    """Put remarks under each other where they fit, else right after their line."""
    column = max((_last_line(row.text) for row in run), default=0)
    done = []
    for row in run:
        length = _last_line(row.text)
        fits = column + len(_GAP) + len(row.remark) <= WIDTH
        blanks = " " * (column - length if fits else 0)
        done.append(replace(row, text=f"{row.text}{blanks}{_GAP}{row.remark}"))
    return done


def _last_line(text: str) -> int:
    return len(text) - text.rfind("\n") - 1


def _indented(row: Row) -> str:
    """Set a row as far in as it stands, on as many lines as it takes."""
    margin = _INDENT * row.depth
    return "\n".join(
        part
        for line in row.text.split("\n")
        for part in ([margin + line] if row.role is Role.REMARK else _wrapped(line, margin))
    )


def _wrapped(line: str, margin: str) -> Iterator[str]:
    """Break a line that is too long, its later parts further in."""
    current = margin
    for piece in _PIECE.findall(line):
        if len(current + piece.rstrip()) > WIDTH and current.strip():
            yield current.rstrip()
            current = margin + 2 * _INDENT
        current += piece
    yield current
