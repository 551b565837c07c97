"""What one row of a time diagram shows in each column, and the key to it.

First every column gets the letter of the state that stands there; then the words of a run (the span
of a timer, a number, the name of a room) are written over its first columns where they fit.
"""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import assert_never

from verifier.report.clock import Clock
from verifier.report.folding import Stretch
from verifier.report.history import (
    Amount,
    Kept,
    Leaf,
    Left,
    Level,
    Place,
    Row,
    Run,
    Standing,
    State,
)
from verifier.report.letters import cut, shown, width
from verifier.report.look import BROKEN, FAINT, INK, LIVE, Letters


@dataclass(frozen=True, slots=True)
class Cell:
    """One column of a row."""

    letter: str
    style: str


@dataclass(frozen=True, slots=True)
class Pen:
    """What rows are drawn with."""

    letters: Letters
    clock: Clock


@dataclass(frozen=True, slots=True)
class _Column:
    """The tick that a column stands for; a `pleat` shows the fold instead of the state."""

    tick: int
    pleat: bool


def ribbon(pen: Pen, row: Row, panel: Sequence[Stretch]) -> list[Cell]:
    """Return the cells of a row over one panel."""
    columns = [column for one in panel for column in _columns(one)]
    starts = [run.start for run in row.runs]
    index = [bisect_right(starts, column.tick) - 1 for column in columns]
    cells = [
        Cell(pen.letters.pleat, FAINT)
        if column.pleat
        else _cell(pen.letters, row.runs[number], column.tick)
        for column, number in zip(columns, index, strict=True)
    ]
    first = 0
    while first < len(cells):
        last = first
        while last < len(cells) and index[last] == index[first]:
            last += 1
        run = row.runs[index[first]]
        begins = run.start >= panel[0].start
        cells[first:last] = _worded(pen, run, cells[first:last], begins=begins)
        first = last
    return cells


def _columns(one: Stretch) -> Iterator[_Column]:
    ticks = one.end - one.start
    for number in range(one.columns):
        inside = one.folded and 0 < number < one.columns - 1
        yield _Column(one.start + number * ticks // one.columns, inside and number % 2 == 1)


def _cell(letters: Letters, run: Run, tick: int) -> Cell:
    """Return what a state looks like at one tick of its run."""
    match run.state:
        case Level(live):
            return Cell(letters.live, LIVE) if live else Cell(letters.dead, FAINT)
        case Amount(number, need, _):
            strand = letters.strands[min(number, len(letters.strands) - 1)]
            return Cell(strand, BROKEN if need else LIVE if number else FAINT)
        case Left():
            return _timer_cell(letters, run.state, tick - run.start)
        case Leaf():
            return Cell(_leaf(letters, run.state), INK)
        case Place(_, between):
            return Cell(letters.between if between else " ", INK)
        case Standing(_, rest):
            return Cell(letters.dead, FAINT) if rest else Cell(" ", INK)
        case Kept(broken):
            return Cell(letters.broken, BROKEN) if broken else Cell(letters.dead, FAINT)
        case _:
            assert_never(run.state)


def _timer_cell(letters: Letters, state: Left, since: int) -> Cell:
    left = state.ticks - since if state.falls else state.ticks
    if left <= 0:
        return Cell(letters.dead, FAINT)
    heights = letters.falling
    height = -(-left * len(heights) // max(state.full, left)) - 1
    return Cell(heights[height], LIVE)


def _leaf(letters: Letters, leaf: Leaf) -> str:
    match leaf:
        case Leaf.SHUT:
            return letters.shut
        case Leaf.OPENING:
            return letters.opening
        case Leaf.OPEN:
            return letters.open
        case Leaf.SHUTTING:
            return letters.shutting
        case _:
            assert_never(leaf)


# --- words on a run ---


def _worded(pen: Pen, run: Run, cells: list[Cell], *, begins: bool) -> list[Cell]:
    """Write the words of a run over its columns; `begins`: it starts in this panel."""
    match run.state:
        case Left(ticks, _, _) if begins and ticks:
            return _written(cells, pen.clock.span(ticks), keep=2, style=f"{LIVE} reverse")
        case Amount(number, need, _):
            text = f"{number}/{need}" if need else str(number)
            style = BROKEN if need else LIVE
            return _written(cells, text, keep=0, style=style) if number else cells
        case Place(name, False) | Standing(name, False):
            return _boxed(cells, shown(name))
        case _:
            return cells


def _written(cells: list[Cell], text: str, *, keep: int, style: str = INK) -> list[Cell]:
    """Put a text over the first columns if so many of the ribbon remain to be seen."""
    if len(text) + keep > len(cells):
        return cells
    return [*(Cell(one, style) for one in text), *cells[len(text) :]]


def _boxed(cells: list[Cell], name: str) -> list[Cell]:
    """Draw a hollow ribbon with a name in it: `[lawn  ]`."""
    room = len(cells) - 2
    if room < 1:
        return [Cell("[", INK)] * len(cells)
    text = cut(name, room)
    rest = cells[1 + width(text) : -1]
    return [Cell("[", INK), *_name_cells(text), *rest, Cell("]", INK)]


def _name_cells(text: str) -> list[Cell]:
    """Return a cell for each column: the second column of a wide letter is an empty cell."""
    cells: list[Cell] = []
    for one in text:
        columns = width(one)
        if columns == 0 and cells:
            cells[-1] = Cell(cells[-1].letter + one, INK)
        cells += [Cell(one, INK), Cell("", INK)][:columns]
    return cells


# --- the key ---


def key(letters: Letters, rows: Sequence[Row]) -> list[tuple[Cell, str]]:
    """Return each letter drawn with the words for it, in the order of this list."""
    found: dict[str, tuple[Cell, str]] = {}
    for row in rows:
        for run in row.runs:
            for cell, words in _meanings(letters, run.state):
                found.setdefault(words, (cell, words))
    return sorted(found.values(), key=lambda entry: _ORDER.index(entry[1]))


_ORDER = (
    "live",
    "dead",
    "timer left",
    "shut",
    "opening",
    "open",
    "shutting",
    "units",
    "count",
    "too few",
    "between",
    "broken",
)


def _meanings(letters: Letters, state: State) -> list[tuple[Cell, str]]:
    match state:
        case Level(live):
            return [(Cell(letters.live, LIVE), "live")] if live else [_dead(letters)]
        case Amount(number, need, units):
            if need:
                return [(Cell(f"{number}/{need}", BROKEN), "too few")]
            words = "units" if units else "count"
            return [(Cell(letters.strands[1:], LIVE), words)] if number else []
        case Left(ticks, _, _):
            steps = letters.falling[-2] + letters.falling[len(letters.falling) // 2]
            falling = Cell(steps + letters.falling[1], LIVE)
            return [(falling, "timer left")] if ticks else [_dead(letters)]
        case Leaf():
            return [(Cell(_leaf(letters, state), INK), state.value)]
        case Place(_, between):
            return [(Cell(letters.between, INK), "between")] if between else []
        case Standing():
            return []
        case Kept(broken):
            return [(Cell(letters.broken, BROKEN), "broken")] if broken else []
        case _:
            assert_never(state)


def _dead(letters: Letters) -> tuple[Cell, str]:
    return Cell(letters.dead, FAINT), "dead"
