"""Diagnostics in the terminal, laid out like a remark on a drawing.

The headline stands first, then code and place; under the line itself the place meant is measured
off as on a drawing, `├────┤`; cause and mend follow in full sentences. All of it is safe to print.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from rich.text import Text

from verifier.report.letters import letter, shown, width
from verifier.report.look import BROKEN, FAINT, NOTE, STRONG, Board, Letters
from verifier.report.paragraph import paragraph
from verifier.source.diagnostic import Diagnostic, Label, Severity
from verifier.source.text import Source, Span

MOST_TOLD = 100
"""No more than so many are printed; nobody reads on, and drawing each takes its time."""

_GUTTER = 2  # blanks on each side of a line number
_INDENT = 8  # of causes and mends, their heads included
_NEAR = 10_000  # letters of a line before and behind a mark that are looked at: more than any board
_TAB = "  "
_LEAST_WORDS = 12  # columns below which words do not go beside a mark but under it


@dataclass(frozen=True, slots=True)
class _Mark:
    """A stretch of one line to be measured off, with the words that belong to it."""

    start: int
    end: int
    words: str
    main: bool
    style: str


def write_diagnostics(board: Board, found: Sequence[Diagnostic]) -> None:
    """Print diagnostics in the order given, a blank line after each, and a count at the end.

    Of very many the first are printed, errors before warnings, and the count tells of the rest.
    """
    for diagnostic in _first(found):
        board.console.print(Text("\n").join((*_told(board, diagnostic), Text())))
    if found:
        board.console.print(_counted(found))


def _first(found: Sequence[Diagnostic]) -> Sequence[Diagnostic]:
    if len(found) <= MOST_TOLD:
        return found
    worst = sorted(found, key=lambda one: one.severity is Severity.WARNING)
    kept = {id(one) for one in worst[:MOST_TOLD]}
    return [one for one in found if id(one) in kept]


def _told(board: Board, diagnostic: Diagnostic) -> Iterable[Text]:
    sign = "!" if diagnostic.severity is Severity.WARNING else board.letters.broken
    yield from paragraph(
        board.width, Text(f"{sign} ", _style(diagnostic)), diagnostic.headline, STRONG
    )
    place = Text(f"  {diagnostic.severity.value} {shown(diagnostic.code)}")
    if diagnostic.span is not None:
        place.append(", ").append(_place(diagnostic.span), NOTE)
    yield place
    yield from _lines(board, diagnostic)
    remarks = [("why", note) for note in diagnostic.notes]
    if diagnostic.mend:
        remarks.append(("mend", diagnostic.mend))
    if remarks:
        yield Text()
    last = ""
    for head, words in remarks:
        told = "" if head == last else head
        yield from paragraph(board.width, Text(f"  {told}".ljust(_INDENT), NOTE), words)
        last = head


def _style(diagnostic: Diagnostic) -> str:
    """Return the style of what is wrong; red is for errors only."""
    return STRONG if diagnostic.severity is Severity.WARNING else BROKEN


def _place(span: Span) -> str:
    return f"{shown(span.source.name)}:{span.line}:{span.column}"


def _counted(found: Sequence[Diagnostic]) -> Text:
    count = dict.fromkeys(Severity, 0)
    for diagnostic in found:
        count[diagnostic.severity] += 1
    words = [
        f"{number} {one.value}{'' if number == 1 else 's'}"
        for one, number in count.items()
        if number
    ]
    told = f", {MOST_TOLD} of them told" if len(found) > MOST_TOLD else ""
    return Text(f"{', '.join(words)}{told}. More on one: latchwork explain {shown(found[0].code)}")


# --- source lines ---


def _lines(board: Board, diagnostic: Diagnostic) -> Iterable[Text]:
    """Yield each line that is spoken of once, files and lines in the order of the file."""
    if diagnostic.span is None:
        return
    first = Label(diagnostic.span, diagnostic.words)
    by_source: dict[Source, dict[int, list[_Mark]]] = {}
    for label in (first, *diagnostic.labels):
        span = label.span
        lines = by_source.setdefault(span.source, {})
        start = span.column - 1
        text = span.source.line_text(span.line)
        end = min(start + max(span.end - span.start, 1), max(len(text), start + 1))
        main = label is first
        mark = _Mark(start, end, label.words, main, _style(diagnostic) if main else NOTE)
        lines.setdefault(span.line, []).append(mark)
    digits = max(len(str(line)) for lines in by_source.values() for line in lines)
    for source, lines in by_source.items():
        yield Text()
        if source is not diagnostic.span.source:
            yield Text(f"  {shown(source.name)}", NOTE)
        for line in sorted(lines):
            yield from _measured(board, source.line_text(line), (line, digits), lines[line])


def _measured(
    board: Board, text: str, number: tuple[int, int], marks: list[_Mark]
) -> Iterable[Text]:
    """Yield one source line and a line below it for each mark, the main one first."""
    line, digits = number
    gutter = " " * _GUTTER + str(line).rjust(digits) + " " * _GUTTER
    marks = sorted(marks, key=lambda mark: (not mark.main, mark.start))
    text, marks = _near(text, marks)
    view = _View.of(text, board.width - len(gutter), marks[0], board.letters)
    yield Text.assemble((gutter, FAINT), view.text)
    for mark in marks:
        yield from _mark_lines(board, view, mark, len(gutter))


def _near(text: str, marks: list[_Mark]) -> tuple[str, list[_Mark]]:
    """Return what may be shown of a very long line, and marks as they stand in that."""
    if len(text) <= 2 * _NEAR:
        return text, marks
    first = max(0, marks[0].start - _NEAR)
    moved = [
        replace(one, start=max(0, one.start - first), end=max(1, one.end - first)) for one in marks
    ]
    return text[first : first + 2 * _NEAR], moved


@dataclass(frozen=True, slots=True)
class _View:
    """What is shown of one line: letters `first` up to `last`, and where each is shown."""

    text: str
    columns: tuple[int, ...]  # of each letter of the line, and one more for its end
    shift: int
    room: int

    @classmethod
    def of(cls, line: str, room: int, mark: _Mark, letters: Letters) -> "_View":
        """Show a line whole if it fits, else the piece around a mark."""
        cells = [_TAB if one == "\t" else letter(one) for one in line]
        columns = [0]
        for cell in cells:
            columns.append(columns[-1] + width(cell))
        if columns[-1] <= room:
            return cls("".join(cells), tuple(columns), 0, room)
        # A mark may stand in the end of the line, which is not shown.
        start, end = (columns[min(one, len(cells))] for one in (mark.start, mark.end))
        centre = (start + min(end, start + room // 2)) // 2
        low = max(0, min(centre - room // 2, columns[-1] - room))
        return cls._cut(cells, columns, (low, low + room), letters.more)

    @classmethod
    def _cut(
        cls, cells: list[str], columns: list[int], window: tuple[int, int], more: str
    ) -> "_View":
        low, high = window
        left = more if low > 0 else ""
        right = more if high < columns[-1] else ""
        low, high = low + width(left), high - width(right)
        kept = [
            index
            for index in range(len(cells))
            if columns[index] >= low and columns[index + 1] <= high
        ]
        text = "".join(cells[index] for index in kept)
        gap = columns[kept[0]] - low if kept else 0
        shift = low - width(left)
        return cls(f"{left}{' ' * gap}{text}{right}", tuple(columns), shift, window[1] - window[0])

    def column(self, index: int) -> int:
        """Return where a letter of the line is shown, kept inside the view."""
        index = min(index, len(self.columns) - 1)
        return min(max(self.columns[index] - self.shift, 0), self.room)


def _mark_lines(board: Board, view: _View, mark: _Mark, gutter: int) -> Iterable[Text]:
    start = min(view.column(mark.start), view.room - 1)
    long = max(view.column(mark.end) - start, 1)
    left, middle, right = board.letters.mark_line if mark.main else board.letters.label_line
    drawn = "^" if long == 1 else left + middle * (long - 2) + right
    head = Text.assemble(" " * (gutter + start), (drawn, mark.style))
    room = board.width - gutter - start - long - 1
    if mark.words and (width(mark.words) <= room or room >= 3 * _LEAST_WORDS):
        yield from paragraph(board.width, head.append(" "), mark.words, mark.style)
        return
    yield head
    if mark.words:
        yield from paragraph(board.width, Text(" " * gutter), mark.words, mark.style)
