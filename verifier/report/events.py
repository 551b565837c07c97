"""What happened in a run, as a list of events in the builder's own names."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from itertools import pairwise
from typing import assert_never

from verifier.report.clock import Clock
from verifier.report.history import (
    Amount,
    History,
    Kept,
    Leaf,
    Left,
    Level,
    Place,
    Row,
    Run,
    Standing,
)


class Kind(Enum):
    """Who or what is behind an event."""

    START = "start"  # what stands at the start, where that is not as the design says
    PRESS = "press"  # people or surroundings
    CHANGE = "change"  # a part
    BREAK = "break"  # the claim, broken
    GOAL = "goal"  # the claim, reached


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happens at one tick.

    `repeats` says in words how often it happens again, `reasons` why; `about` names the part or
    value that it is about, `line` is the line of the file that brings it about (0: none).
    `starts`: somebody begins to do something. `late`: what it is about shows it so many ticks
    later, as a walker does that sets out.
    """

    tick: int
    kind: Kind
    words: str
    repeats: str = ""
    about: str = ""
    reasons: str = ""
    line: int = 0
    starts: bool = False
    late: int = 0

    @property
    def seen(self) -> int:
        """The tick from which on what it is about is otherwise."""
        return self.tick + self.late


def events_of(history: History, presses: Iterable[Event] = ()) -> list[Event]:
    """Return what people did and what then changed, in order of time.

    Within a tick people come first, then the rows from top to bottom, since causes run downward;
    then walkers that set out, since they go by what holds in that tick.
    """
    found = list(presses)
    for row in history.rows:
        if row.told:
            found.extend(_of_row(row, history.clock))
    return sorted(found, key=_order)


_RANK = {Kind.START: 0, Kind.PRESS: 1, Kind.CHANGE: 2, Kind.BREAK: 3, Kind.GOAL: 3}


def _order(event: Event) -> tuple[int, int, int]:
    return event.tick, _RANK[event.kind], event.late


def _of_row(row: Row, clock: Clock) -> Iterator[Event]:
    first = row.runs[0]
    if isinstance(first.state, Kept) and first.state.broken:
        yield Event(first.start, Kind.BREAK, f"{row.name} is broken")
    for before, after in pairwise(row.runs):
        words = _change(row, before, after, clock)
        if words:
            broken = isinstance(after.state, Kept)
            kind = Kind.BREAK if broken else Kind.CHANGE
            # Who is on the way at a tick has set out in the one before.
            late = 1 if isinstance(after.state, Place) and after.state.between else 0
            yield Event(after.start - late, kind, words, about=row.name, late=late)


def _change(row: Row, past: Run, now: Run, clock: Clock) -> str:
    """Return what a change from one state to the next is called, "" for one not worth a line."""
    before, after = past.state, now.state
    match before, after:
        case Kept(), Kept(broken):
            return f"{row.name} is broken" if broken else ""
        case Level(), Level(live):
            return f"{row.name} goes {'live' if live else 'dead'}"
        case Leaf(), Leaf():
            return _leaf(row, after)
        case Left(), Left():
            if after.ticks == 0:
                all_gone = before.falls and past.end - past.start == before.ticks
                return f"{row.name} {'has run out' if all_gone else 'is stopped'}"
            return _timer(row, before, after, clock)
        case Place(), Place(there, between):
            if between:
                return f"{row.name} sets out from {there.replace(' -> ', ' to ')}"
            return f"{row.name} is in {there}"
        case Standing(), Standing(option, _):
            return f"{row.name} stands at {option}"
        case Amount(), Amount():
            return _amount(row, after)
        case _:
            return ""


def _amount(row: Row, after: Amount) -> str:
    if not after.units:
        return f"{row.name} is at {after.number}"
    units = f"{after.number} unit{'' if after.number == 1 else 's'}"
    short = f", needs {after.need}" if after.need else ""
    return f"{row.name} {row.note or 'gives'} {units if after.number else 'nothing'}{short}"


def _leaf(row: Row, leaf: Leaf) -> str:
    match leaf:
        case Leaf.SHUT:
            return f"{row.name} is shut"
        case Leaf.OPENING:
            return f"{row.name} begins to open"
        case Leaf.OPEN:
            return f"{row.name} is open"
        case Leaf.SHUTTING:
            return f"{row.name} begins to shut"
        case _:
            assert_never(leaf)


def _timer_starts(row: Row, state: Left, clock: Clock) -> str:
    return f"{row.name} starts ({clock.span(state.ticks)})"


def _timer(row: Row, before: Left, after: Left, clock: Clock) -> str:
    if before.ticks == 0:
        return _timer_starts(row, after, clock)
    if after.full != before.full or after.ticks == after.full:
        return f"{row.name} starts anew ({clock.span(after.ticks)})"
    return f"{row.name} {'runs on' if after.falls else 'stands still'}"


# --- making it short ---

_OFTEN = 3
_FEW = 2  # events are not worth leaving out for the line that says so


def folded(events: Sequence[Event], clock: Clock) -> list[Event]:
    """Return the events with each that happens three times or more told once, at its first."""
    ticks: dict[tuple[Kind, str], list[int]] = {}
    for event in events:
        ticks.setdefault((event.kind, event.words), []).append(event.tick)
    out: list[Event] = []
    for event in events:
        at = ticks[event.kind, event.words]
        if len(at) < _OFTEN or event.kind in (Kind.BREAK, Kind.GOAL):
            out.append(event)
        elif event.tick == at[0]:
            out.append(replace(event, repeats=_often(at, clock)))
    return out


def _often(ticks: Sequence[int], clock: Clock) -> str:
    gaps = {after - before for before, after in pairwise(ticks)}
    every = f"every {clock.span(gaps.pop())}, " if len(gaps) == 1 else ""
    return f"{every}{len(ticks)} times, last at {clock.moment(ticks[-1])}"


def shortened(events: Sequence[Event], most: int) -> tuple[list[Event], int, list[Event]]:
    """Return the first events, how many are left out, and the last ones: about `most` lines."""
    if len(events) <= most + _FEW:
        return list(events), 0, []
    head = most // 2
    tail = most - head - 1
    return list(events[:head]), len(events) - head - tail, list(events[-tail:])
