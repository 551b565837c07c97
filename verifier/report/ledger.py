"""Events in the terminal: a line each, read downward, people and breaks marked."""

from collections.abc import Iterator, Sequence

from rich.text import Text

from verifier.report.clock import Clock
from verifier.report.events import Event, Kind, folded, shortened
from verifier.report.letters import shown, width
from verifier.report.look import BROKEN, FAINT, INK, NOTE, STRONG, Board
from verifier.report.paragraph import paragraph

_GAP = "  "


def ledger(board: Board, clock: Clock, events: Sequence[Event], most: int) -> Iterator[Text]:
    """Yield at most so many events; the time stands where it changes, repeats are told once."""
    first, left_out, last = shortened(folded(events, clock), most)
    stamp = max((width(clock.moment(one.tick)) for one in (*first, *last)), default=0)
    before: int | None = None
    for event in first:
        yield from _line(board, event, _stamp(clock, event, before).rjust(stamp))
        before = event.tick
    if left_out:
        yield Text(f"{_GAP}{' ' * stamp}   {board.letters.more} {left_out} more", FAINT)
    for event in last:
        yield from _line(board, event, _stamp(clock, event, before).rjust(stamp))
        before = event.tick


def _stamp(clock: Clock, event: Event, before: int | None) -> str:
    return "" if event.tick == before else clock.moment(event.tick)


def _line(board: Board, event: Event, stamp: str) -> Iterator[Text]:
    marks = {
        Kind.START: (" ", INK),
        Kind.PRESS: (board.letters.press, NOTE),
        Kind.CHANGE: (" ", INK),
        Kind.BREAK: (board.letters.broken, BROKEN),
        Kind.GOAL: (board.letters.pointer, NOTE),
    }
    mark, style = marks[event.kind]
    head = Text.assemble(f"{_GAP}{stamp} ", (mark, style), " ")
    words = f"{event.words}, {event.repeats}" if event.repeats else event.words
    strong = {Kind.BREAK: BROKEN, Kind.GOAL: STRONG}.get(event.kind, INK)
    if event.reasons:
        words += f"{_GAP}{event.reasons}"
    lines = list(paragraph(board.width, head, shown(words), strong))
    if event.line:
        place = f"line {event.line}"
        room = board.width - width(lines[-1].plain) - width(place)
        if room >= len(_GAP):
            lines[-1].append(" " * room).append(place, NOTE)
    yield from lines
