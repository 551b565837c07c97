"""In what rhythm a design runs when it is left alone: when it settles, and what each round holds.

The run is followed by jumps until its state comes again (`cycle`); all figures of a round are
counted exactly, in whole ticks and units, from the values along it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from verifier.design.model import Design
from verifier.simulate.readings import Readings, Shown
from verifier.simulate.watch import watch
from verifier.system.cone import behind
from verifier.system.lower import lower
from verifier.system.model import System
from verifier.tuning.cycle import Astray, Loop, loop_of
from verifier.tuning.rhythm_items import Item, items_of
from verifier.verdict.trace import Step, Trace

Stretch = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Beat:
    """When an item is on within a round of `period` ticks, counted from tick `origin` of the run.

    A stretch that goes on over the end of the round is one: it then ends after `period`.
    """

    item: Item
    origin: int
    period: int
    on: tuple[Stretch, ...]

    @property
    def ticks(self) -> int:
        """How many ticks of the round it is on."""
        return sum(end - start for start, end in self.on)

    @property
    def share(self) -> Fraction:
        """Which part of the time it is on."""
        return Fraction(self.ticks, self.period)

    @property
    def switchings(self) -> int:
        """How often it goes on in a round; 0 where it always stays as it is."""
        return 0 if self.ticks == self.period else len(self.on)


@dataclass(frozen=True, slots=True)
class Draw:
    """Units that the working parts take: at tick 0, and at least, at most, on average in a round.

    Without a loop these are of the whole run. `supplied`: what the sources give at most in all, for
    comparison.
    """

    first: int
    least: int
    most: int
    average: Fraction
    supplied: int


@dataclass(frozen=True, slots=True)
class Rhythm:
    """What comes of a run left alone; `system` is that of the design without its claims.

    `seen` are all values of the run up to the end of the second round. Where the whole does not
    come again, each item that does has a round of its own, and the others are `lost`. `varies`:
    spans are drawn, so this run, with the shortest of each, is but one of many. `breaks`: the tick
    in which it breaks an assumption. `hands`: there is something to press or someone to walk. The
    round shown begins at tick `start`, when `opens` goes on (None: where the loop does).
    """

    design: Design
    system: System
    loop: Loop | Astray
    seen: Readings
    beats: tuple[Beat, ...]
    lost: tuple[Item, ...]
    draw: Draw
    varies: bool
    breaks: int | None
    hands: bool
    start: int
    opens: Item | None

    def round(self) -> Readings:
        """Return the values along one round; without a loop those of the whole run."""
        period = self.loop.period if isinstance(self.loop, Loop) else None
        return self.seen if period is None else cut(self.seen, self.start, self.start + period)


def rhythm_of(design: Design, system: System, begun: Trace) -> Rhythm:
    """Return the rhythm of a design left alone after a run of `system`, its system."""
    bare, items = items_of(design)
    free = lower(_unbound(bare))
    start = _as_of(free, begun)
    loop = loop_of(free, start)
    period = loop.period or 0 if isinstance(loop, Loop) else 0
    seen = watch(free, _onward(free, loop.trace, period)).readings
    opens, first = _opening(items, loop, seen)
    beats, lost = _beats(free, items, (loop, first), seen, start)
    drawn = (first, first + period) if period else (0, seen.length)
    return Rhythm(
        design=design,
        system=free,
        loop=loop,
        seen=seen,
        beats=beats,
        lost=lost,
        draw=draw_of(design, seen, *drawn),
        varies=loop.drawn,
        breaks=_breaks(system, begun, loop),
        hands=bool(design.free),
        start=first,
        opens=opens,
    )


def _opening(items: Sequence[Item], loop: Loop | Astray, seen: Readings) -> tuple[Item | None, int]:
    """Return the item whose going on begins a round, one that does so once if there is one."""
    if isinstance(loop, Astray):
        return None, 0
    best: tuple[int, Item, int] | None = None
    for item in items:
        starts = list(_starts(seen, item.net.path, loop.settles, loop.period or 0))
        if starts and (best is None or len(starts) < best[0]):
            best = len(starts), item, starts[0]
    return (None, loop.settles) if best is None else best[1:]


def _starts(seen: Readings, path: str, settles: int, period: int) -> Iterator[int]:
    """Yield the ticks in the first round of the loop at which a value gets above 0."""
    if not period:
        return
    before = seen.at(path, settles + period - 1) > 0
    ticks = [tick for tick, _ in seen.changes[path] if settles < tick < settles + period]
    for tick in (settles, *ticks):
        live = seen.at(path, tick) > 0
        if live and not before:
            yield tick
        before = live


def _onward(system: System, trace: Trace, ticks: int) -> Trace:
    """Return a run that goes on for so many ticks with nobody acting."""
    rest = Step((0,) * len(system.choices), (0,) * len(system.clocks), ticks)
    return Trace((*trace.steps, rest)) if ticks else trace


def _unbound(design: Design) -> Design:
    """Return the design without assumptions, whose memory is no part of what it does."""
    return replace(design, assumptions=(), one_press=False)


def _as_of(system: System, trace: Trace) -> Trace:
    """Return a run of the design as one of it without claims, whose timers draw no span."""
    size = len(system.clocks)
    return Trace(tuple(replace(step, draws=step.draws[:size]) for step in trace.steps))


def _breaks(system: System, begun: Trace, loop: Loop | Astray) -> int | None:
    """Return the tick in which the run breaks an assumption, within two rounds; None: in none.

    What assumptions keep in mind may take a second round to come again.
    """
    if system.allowed is system.pool.yes:
        return None
    period = (loop.period or 0) if isinstance(loop, Loop) else 0
    longest = max((clock.longest for clock in system.clocks), default=0)
    ticks = loop.trace.length - begun.length + period + longest + 1
    broken = system.pool.not_(system.allowed)
    seen = watch(system, _onward(system, begun, ticks), broken).readings
    return next((tick for tick, broken in seen.broken or () if broken), None)


# --- rounds ---------------------------------------------------------------------------------------


def _beats(
    system: System,
    items: Sequence[Item],
    shown: tuple[Loop | Astray, int],
    seen: Readings,
    begun: Trace,
) -> tuple[tuple[Beat, ...], tuple[Item, ...]]:
    loop, start = shown
    if isinstance(loop, Loop):
        period = loop.period or 1
        return tuple(_beat(item, start, period, seen) for item in items), ()
    found, lost = [], []
    for item in items:
        own = loop_of(system, begun, behind(system, system.shown[item.net.path].nodes))
        if isinstance(own, Loop):
            values = watch(system, own.trace).readings
            found.append(_beat(item, own.settles, own.period or 1, values))
        else:
            lost.append(item)
    return tuple(found), tuple(lost)


def _beat(item: Item, origin: int, period: int, seen: Readings) -> Beat:
    on = tuple(_on(seen, item.net.path, origin, origin + period))
    # A stretch over the end of a round goes on at the beginning of the next one.
    if len(on) > 1 and on[0][0] == 0 and on[-1][1] == period:
        on = (*on[1:-1], (on[-1][0], period + on[0][1]))
    return Beat(item, origin, period, on)


def _on(seen: Readings, path: str, start: int, end: int) -> Iterator[Stretch]:
    """Yield the stretches of a part of a run, from its start on, in which a value is above 0."""
    before: Stretch | None = None
    for begins, ends, value in seen.spans(seen.changes[path]):
        one, other = max(begins, start) - start, min(ends, end) - start
        if value <= 0 or one >= other:
            continue
        if before is not None and before[1] == one:
            before = before[0], other
            continue
        if before is not None:
            yield before
        before = one, other
    if before is not None:
        yield before


def cut(seen: Readings, start: int, end: int) -> Readings:
    """Return part of the values of a run, its first tick as tick 0."""
    changes = {
        path: [(0, seen.at(path, start))]
        + [(tick - start, value) for tick, value in row if start < tick < end]
        for path, row in seen.changes.items()
    }
    timers = {
        path: list(_timers(row, seen, path, (start, end))) for path, row in seen.timers.items()
    }
    return Readings(end - start, changes, timers)


def _timers(row: Sequence[Shown], seen: Readings, path: str, part: Stretch) -> Iterator[Shown]:
    start, end = part
    falls = [one.falls for one in row if one.tick <= start][-1]
    yield Shown(0, seen.left(path, start), falls)
    for one in row:
        if start < one.tick < end:
            yield Shown(one.tick - start, one.left, one.falls)


# --- units ----------------------------------------------------------------------------------------


def draw_of(design: Design, seen: Readings, start: int, end: int) -> Draw:
    """Return the units drawn at the start of a run, and in its part from `start` up to `end`."""
    users = [(part.draw, part.fed.path) for part in design.parts if part.fed is not None]
    moments = sorted({0, start, *(tick for _, path in users for tick, _ in seen.changes[path])})
    drawn = [sum(draw for draw, path in users if seen.at(path, tick)) for tick in moments]
    rounds = [
        (units, min(until, end) - max(tick, start))
        for tick, until, units in zip(moments, [*moments[1:], seen.length], drawn, strict=True)
        if until > start and tick < end
    ]
    total = sum(units * ticks for units, ticks in rounds)
    amounts = [units for units, _ in rounds]
    average = Fraction(total, end - start)
    return Draw(drawn[0], min(amounts), max(amounts), average, _supplied(design, seen))


def _supplied(design: Design, seen: Readings) -> int:
    """Return the most that the sources, parts that give power and get none, give in all."""
    built = {part.path.rpartition(".")[0] for part in design.parts if part.inside}
    given = [
        net.path
        for part in design.parts
        if part.path not in built and not any(net.power for net in part.ports_in)
        for net in part.ports_out
        if net.power
    ]
    moments = {0, *(tick for path in given for tick, _ in seen.changes[path])}
    return max((sum(seen.at(path, tick) for path in given) for tick in moments), default=0)
