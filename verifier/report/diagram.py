"""The time diagram in the terminal: a folding rule above, a ribbon for each row below it.

All drawing is by columns: `folding` says which ticks a column stands for, `ribbon` what a row shows
there. A rule too long for the terminal goes on in further panels below.
"""

from collections.abc import Iterable, Sequence

from rich.text import Text

from verifier.report.clock import Axis
from verifier.report.folding import Rule, Stretch, lay_out
from verifier.report.history import History, Moment, Row
from verifier.report.letters import cut, padded, shown, width
from verifier.report.look import BROKEN, FAINT, INK, NOTE, STRONG, Board, Letters
from verifier.report.ribbon import Cell, Pen, key, ribbon

_LONGEST_LABEL = 24
_MOST_PANELS = 4
_MOST_EVENTS = 200  # more are never laid out: nobody reads on so far
_BREATHS = (6, 4)  # columns of the narrowest stretch where there is no room for all numerals


def diagram(board: Board, history: History) -> Iterable[Text]:
    """Yield the lines of a diagram no wider than the board."""
    axis = Axis(history.clock, history.length)
    label = max(_label_columns(board, history.rows), len(axis.unit) + 1)
    panels = panels_of(history, board.width - label)
    end = panels[-1][-1].end
    before = 0
    for number in _worth_drawing(panels, history.moment):
        if before:
            yield Text()
        if number > before:
            yield from _left_out(history, panels[before][0].start, panels[number][0].start)
        last = number == len(panels) - 1 and end == history.length
        yield from _panel(board, history, axis, panels[number], (label, last))
        before = number + 1
    yield from _afterwords(history, panels[before - 1][-1].end)
    yield from _key_lines(board, history)


def panels_of(history: History, columns: int, most: int = _MOST_EVENTS) -> list[list[Stretch]]:
    """Return how time is laid out on panels of so many columns, up to so many events."""
    axis = Axis(history.clock, history.length)
    events = history.events
    end = history.length if len(events) <= most else events[most]
    longest = max(len(axis.numeral(tick)) for tick in (*events[:most], end))
    breaths = [longest + 1, *(one for one in _BREATHS if one <= longest)]
    return lay_out(events[:most], end, Rule(columns, breaths, history.clock.span))


def _worth_drawing(panels: Sequence[Sequence[Stretch]], moment: Moment | None) -> list[int]:
    """Return which panels are drawn: the first ones, and the one of the moment pointed at."""
    first = list(range(len(panels)))[:_MOST_PANELS]
    if moment is None:
        return first
    at = next(
        (n for n, panel in enumerate(panels) if panel[0].start <= moment.tick < panel[-1].end), 0
    )
    return first if at in first else [*first[:-1], at]


def _label_columns(board: Board, rows: Sequence[Row]) -> int:
    longest = max((width(_label(row)) for row in rows), default=0)
    return min(longest, _LONGEST_LABEL, board.width // 3) + 1


def _label(row: Row) -> str:
    return f"{shown(row.name)} {row.note}".rstrip()


# --- a panel ---


def _panel(
    board: Board, history: History, axis: Axis, panel: Sequence[Stretch], frame: tuple[int, bool]
) -> Iterable[Text]:
    label, last = frame
    starts = _columns(panel)
    moment = history.moment
    if moment is not None and not panel[0].start <= moment.tick < panel[-1].end:
        moment = None
    numerals = _numerals(axis, panel, board.width - label, moment)
    yield Text.assemble((padded(axis.unit, label), FAINT), numerals)
    end = board.letters.roll if last and history.again else board.letters.rule_end
    yield Text.assemble(" " * label, _rule(board.letters, panel, end if last else ""))
    pen = Pen(board.letters, history.clock)
    for row in history.rows:
        yield _row_line(pen, row, panel, label)
    if moment is not None:
        column = starts[_index(panel, moment.tick)]
        yield _pointed(board, moment, history, label + column)


def _columns(panel: Sequence[Stretch]) -> list[int]:
    """Return the column at which each stretch starts, and at last that of the end."""
    starts = [0]
    for one in panel:
        starts.append(starts[-1] + one.columns)
    return starts


def _index(panel: Sequence[Stretch], tick: int) -> int:
    return next(number for number, one in enumerate(panel) if one.start <= tick < one.end)


def _numerals(axis: Axis, panel: Sequence[Stretch], room: int, moment: Moment | None) -> Text:
    """Write numerals above the events; one that would touch another is left out, not cut.

    The moment pointed at comes first, then the start of the panel, then the others in order.
    """
    starts = _columns(panel)
    ticks = [*(one.start for one in panel), panel[-1].end]
    wanted = sorted(range(len(ticks)), key=lambda n: (not _at(moment, ticks[n]), n))
    line = [" "] * room
    bold: tuple[int, int] | None = None
    for number in wanted:
        text = axis.numeral(ticks[number])
        at = starts[number]
        if number == len(ticks) - 1:
            at = max(starts[-1] - len(text), 0)
        around = line[max(at - 1, 0) : at + len(text) + 1]
        if at + len(text) <= room and all(one == " " for one in around):
            line[at : at + len(text)] = text
            if _at(moment, ticks[number]):
                bold = (at, at + len(text))
    text_line = Text("".join(line).rstrip())
    if bold is not None:
        text_line.stylize(STRONG, *bold)
    return text_line


def _at(moment: Moment | None, tick: int) -> bool:
    return moment is not None and moment.tick == tick


def _rule(letters: Letters, panel: Sequence[Stretch], end: str) -> Text:
    line = Text()
    for number, one in enumerate(panel):
        line.append(letters.rule_start if number == 0 and one.start == 0 else letters.mark)
        if not one.folded:
            line.append(letters.rule * (one.columns - 1))
            continue
        words = f" {one.words} " if one.words else ""
        inside = words.center(one.columns - 4, letters.folded)
        line.append(letters.hinge).append(inside, NOTE)
        line.append(letters.hinge).append(letters.rule)
    if end:
        line.right_crop(1)
        line.append(end)
    return line


def _row_line(pen: Pen, row: Row, panel: Sequence[Stretch], label: int) -> Text:
    name = padded(_label(row), label - 1) + " "
    line = Text.assemble((name, STRONG if row.asked else INK))
    cells = ribbon(pen, row, panel)
    _append(line, cells)
    return line


def _append(line: Text, cells: Iterable[Cell]) -> None:
    """Append cells, those of one style together: fewer escape codes on the way."""
    text, style = "", INK
    for cell in cells:
        if cell.style != style:
            line.append(text, style)
            text, style = "", cell.style
        text += cell.letter
    line.append(text, style)


def _pointed(board: Board, moment: Moment, history: History, column: int) -> Text:
    """Write the words for the moment on the side of its pointer that has room for them."""
    words = f"{history.clock.moment(moment.tick)}  {shown(moment.words)}"
    style = BROKEN if moment.broken else NOTE
    pointer = board.letters.pointer
    right, left = board.width - column - 2, column - 1
    if width(words) <= right or left < right:
        return Text(" " * column).append(f"{pointer} {cut(words, right)}", style)
    words = cut(words, left)
    return Text(" " * (left - width(words))).append(f"{words} {pointer}", style)


# --- below the panels ---


def _left_out(history: History, start: int, end: int) -> Iterable[Text]:
    changes = sum(start <= tick < end for tick in history.events)
    moment = history.clock.moment
    yield Text(f"Not drawn: {changes} changes from {moment(start)} to {moment(end)}.", FAINT)
    yield Text()


def _afterwords(history: History, drawn: int) -> Iterable[Text]:
    again = history.again
    if again is not None and drawn == history.length:
        clock = history.clock
        start = clock.moment(again.start)
        times = "for ever" if again.times is None else f"{again.times} times more"
        if any(tick > again.start for tick in history.events):
            every = clock.span(again.period)
            yield Text(f"From {start} on all of it comes again every {every}, {times}.")
        else:
            yield Text(f"From {start} on nothing changes any more.")
    left = sum(tick >= drawn for tick in history.events)
    if drawn < history.length and left:
        end = history.clock.moment(history.length)
        changes = "change" if left == 1 else "changes"
        yield Text(f"Not drawn: {left} more {changes} up to {end}.", FAINT)
    if history.resting:
        rows = "row" if history.resting == 1 else "rows"
        yield Text(f"At rest all the time: {history.resting} more {rows}.", FAINT)


def _key_lines(board: Board, history: History) -> Iterable[Text]:
    """Yield the key, only of what is drawn, on as few lines as it takes."""
    line = Text()
    for cell, words in key(board.letters, history.rows):
        entry = Text.assemble((cell.letter, cell.style), (f" {words}", FAINT))
        if line.plain and width(line.plain) + 3 + width(entry.plain) > board.width:
            yield line
            line = Text()
        line.append("   " if line.plain else "").append_text(entry)
    if line.plain:
        yield line
