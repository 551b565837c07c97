"""A run that a person asked for: its rows, its events, and how it is shown."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rich.text import Text

from verifier.report.clock import Clock
from verifier.report.diagram import diagram
from verifier.report.events import Event, events_of
from verifier.report.history import History
from verifier.report.ledger import ledger
from verifier.report.letters import shown
from verifier.report.look import FAINT, STRONG, Board
from verifier.report.presses import presses
from verifier.report.rows import Focus, choose
from verifier.simulate.readings import Readings
from verifier.simulate.told import Act, played, standing
from verifier.simulate.watch import watch
from verifier.system.model import System
from verifier.verdict.trace import Trace

_CALM = 400  # jumps for which a run is followed until it rests or comes again
_MOST_LINES = 40


@dataclass(frozen=True, slots=True)
class Simulation:
    """What happened; `rests`: nothing would ever happen any more if nobody acts."""

    history: History
    events: tuple[Event, ...]
    rests: bool
    readings: Readings


@dataclass(frozen=True, slots=True)
class Wished:
    """What a person asked for: acts within `length` ticks.

    `onward`: after these the run is followed until it rests or comes again.
    """

    acts: Sequence[Act]
    length: int
    onward: bool


def as_wished(system: System, wished: Wished) -> Simulation:
    """Return the run with these acts; what is set without an end stays to the end of what is shown.

    Raises:
        NoWayError: A walker has no open way to its room.
    """
    trace = played(system, wished.acts, wished.length)
    stays = standing(system, wished.acts, wished.length)
    return simulation(system, trace, onward=wished.onward, standing=stays)


def simulation(
    system: System, trace: Trace, *, onward: bool, standing: Sequence[int] | None = None
) -> Simulation:
    """Return a run with all that changes in it.

    `onward`: after its end it is followed until it rests or comes again, with nobody acting but for
    the choices that stay as `standing` says.
    """
    design = system.design
    calm = _CALM if onward else 0
    watched = watch(system, trace, None, calm, again=True, standing=standing)
    focus = Focus.of(design)
    rows = choose(design, watched.readings, focus)
    history = History(
        Clock(design.tick_ns),
        watched.readings.length,
        rows.rows,
        again=watched.again,
        resting=rows.resting,
    )
    events = events_of(history, presses(design, watched.readings, focus))
    return Simulation(history, tuple(events), watched.rests, watched.readings)


def write_simulation(board: Board, system: System, found: Simulation) -> None:
    """Print the diagram of a run and the list of its events."""
    for line in _report(board, system, found):
        line.rstrip()
        board.console.print(line)


def _report(board: Board, system: System, found: Simulation) -> Iterator[Text]:
    design, history = system.design, found.history
    clock = history.clock
    facts = f"  {shown(design.file)}, tick {clock.span(1)}"
    yield Text.assemble((shown(design.name), STRONG), (facts, FAINT))
    yield Text()
    if not history.rows:
        yield Text("Nothing changes, from the start on.")
    else:
        yield from diagram(board, history)
        if found.rests:
            yield Text("Then all is at rest.")
    if found.events:
        yield Text()
        yield from ledger(board, clock, found.events, _MOST_LINES)
