"""What happened in a run, as rows of runs: the one source of every drawing of time.

A row is one thing a person follows (a button, a door, what a timer has left, the claim); a run is a
stretch of ticks in which its state is one and the same, or falls evenly. Nothing here knows how it
will be drawn.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from verifier.report.clock import Clock
from verifier.simulate.watch import Again


@dataclass(frozen=True, slots=True)
class Level:
    """A signal, or a kept flag: live or dead."""

    live: bool


@dataclass(frozen=True, slots=True)
class Amount:
    """A number of units of power, or a count. `need`: what a part asks for where it gets less."""

    number: int
    need: int = 0
    units: bool = False


@dataclass(frozen=True, slots=True)
class Left:
    """A timer: what it has left, in ticks, at the first tick of the run; `falls`: one less a tick.

    `full` is the span from which it fell, so that drawings of one stretch keep one height.
    """

    ticks: int
    full: int
    falls: bool


class Leaf(Enum):
    """Where the leaf of a door is."""

    SHUT = "shut"
    OPENING = "opening"
    OPEN = "open"
    SHUTTING = "shutting"


@dataclass(frozen=True, slots=True)
class Place:
    """A walker in a room, or between the two that the name tells."""

    name: str
    between: bool = False


@dataclass(frozen=True, slots=True)
class Standing:
    """A choice that stands at one of its options; `rest`: the first of them, nothing to see."""

    option: str
    rest: bool


@dataclass(frozen=True, slots=True)
class Kept:
    """Whether a claim is kept (or broken) at these ticks."""

    broken: bool


State = Level | Amount | Left | Leaf | Place | Standing | Kept


@dataclass(frozen=True, slots=True)
class Run:
    """The ticks from `start` up to, not including, `end` in one state."""

    start: int
    end: int
    state: State


@dataclass(frozen=True, slots=True)
class Row:
    """One thing over all ticks: its runs follow each other without a gap.

    `note` says what of it is shown where the name does not (`left`, `claim`); `asked`: the claim
    itself speaks of it; `told`: its changes are worth a line in a list of events.
    """

    name: str
    runs: tuple[Run, ...]
    note: str = ""
    asked: bool = False
    told: bool = True

    @property
    def changes(self) -> tuple[int, ...]:
        """The ticks, after tick 0, at which a run begins."""
        return tuple(run.start for run in self.runs[1:])


@dataclass(frozen=True, slots=True)
class Moment:
    """A tick to point at, and the words for it."""

    tick: int
    words: str
    broken: bool


@dataclass(frozen=True, slots=True)
class History:
    """A run of `length` ticks; `resting` counts the rows left out because nothing changes there."""

    clock: Clock
    length: int
    rows: tuple[Row, ...]
    moment: Moment | None = None
    again: Again | None = None
    resting: int = 0

    @property
    def events(self) -> tuple[int, ...]:
        """All ticks at which something shown changes, with tick 0 and the moment pointed at."""
        ticks = {0, *(tick for row in self.rows for tick in row.changes)}
        if self.moment is not None:
            ticks.add(self.moment.tick)
        return tuple(sorted(ticks))


def joined(runs: Iterable[Run]) -> tuple[Run, ...]:
    """Return runs with neighbours of the same state made one; falling timers are left alone."""
    out: list[Run] = []
    for run in runs:
        same = out and out[-1].state == run.state
        if same and not (isinstance(run.state, Left) and run.state.falls):
            out[-1] = Run(out[-1].start, run.end, run.state)
        else:
            out.append(run)
    return tuple(out)
