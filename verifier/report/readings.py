"""How the values of a run turn into the states that a person follows."""

from collections.abc import Mapping, Sequence
from itertools import pairwise

from verifier.design.model import Net, Part, Timer, Walker
from verifier.report.history import (
    Amount,
    Kept,
    Leaf,
    Left,
    Level,
    Place,
    Run,
    Standing,
    State,
    joined,
)
from verifier.simulate.readings import Readings


def level_runs(readings: Readings, net: Net) -> tuple[Run, ...]:
    """Return when a flag, or an amount above 0, is live."""
    spans = readings.spans(readings.changes[net.path])
    return joined(Run(start, end, Level(live=value > 0)) for start, end, value in spans)


def amount_runs(readings: Readings, net: Net, part: Part | None = None) -> tuple[Run, ...]:
    """Return the numbers on a net; with a part, what it needs wherever it is starving."""
    spans = readings.spans(readings.changes[net.path])
    need = part.draw if part is not None else 0
    return joined(
        Run(start, end, Amount(value, need if 0 < value < need else 0, net.power))
        for start, end, value in spans
    )


def kept_runs(readings: Readings) -> tuple[Run, ...]:
    """Return when the claim is broken."""
    spans = readings.spans(readings.broken or ((0, 0),))
    return joined(Run(start, end, Kept(broken=value > 0)) for start, end, value in spans)


def option_runs(readings: Readings, net: Net, options: Sequence[str]) -> tuple[Run, ...]:
    """Return at which option a choice stands; the first one is its rest."""
    spans = readings.spans(readings.changes[net.path])
    return joined(
        Run(start, end, Standing(options[value], rest=value == 0)) for start, end, value in spans
    )


def walker_runs(readings: Readings, walker: Walker, options: Sequence[str]) -> tuple[Run, ...]:
    """Return in which room a walker is, or between which.

    Its place stays at the passage until it sets out again; once the timer shows 0 it has arrived.
    """
    place, left = walker.place.path, walker.timer.path
    ticks = {tick for tick, _ in readings.changes[place]}
    ticks |= {run.start for run in timer_runs(readings, walker.timer)}
    runs: list[Run] = []
    for start, end in pairwise([*sorted(ticks), readings.length]):
        value = readings.at(place, start)
        going = walker.ends[value] != value and readings.left(left, start) > 0
        name = options[value if going else walker.ends[value]]
        runs.append(Run(start, end, Place(name, between=going)))
    return joined(runs)


def timer_runs(readings: Readings, timer: Timer) -> tuple[Run, ...]:
    """Return how a timer falls, stands still or rests.

    However often it was looked at on the way, a stretch that falls evenly is one run.
    """
    shown = readings.timers[timer.path]
    runs: list[Run] = []
    full = 0
    ends = [*(after.tick for after in shown[1:]), readings.length]
    for one, end in zip(shown, ends, strict=True):
        before = _left_at_end(runs)
        full = one.left if one.left != before else full
        if one.left == 0:
            runs.append(Run(one.tick, end, Left(0, 0, falls=False)))
            continue
        goes_on = runs and one.falls and _is_falling(runs[-1]) and one.left == before
        falls_to = min(end, one.tick + one.left) if one.falls else end
        if goes_on:
            runs[-1] = Run(runs[-1].start, falls_to, runs[-1].state)
        else:
            runs.append(Run(one.tick, falls_to, Left(one.left, full, one.falls)))
        if falls_to < end:
            runs.append(Run(falls_to, end, Left(0, 0, falls=False)))
    return joined(run for run in runs if run.start < run.end)


def _left_at_end(runs: Sequence[Run]) -> int:
    """Return what a timer shows at the tick after the last run, if nothing loads it."""
    if not runs or not isinstance(runs[-1].state, Left):
        return 0
    last = runs[-1]
    ticks = runs[-1].state.ticks
    return ticks - (last.end - last.start) if runs[-1].state.falls else ticks


def _is_falling(run: Run) -> bool:
    return isinstance(run.state, Left) and run.state.falls


# --- doors ---

_LEAF_NAMES = ("shut", "open", "ajar", "moving")


def leaf_nets(part: Part) -> dict[str, Net] | None:
    """Return the nets that tell where the leaf of a part is, None for a part that has no leaf.

    A part counts as a door by what can be read on it, not by the name of its kind, so that kinds
    of people's own are drawn as doors too: it has conditions `shut`, `open`, `ajar` and `moving`.
    """
    names = {net.path.rpartition(".")[2]: net for net in (*part.ports_out, *part.lets)}
    if not all(name in names for name in _LEAF_NAMES):
        return None
    return {name: names[name] for name in _LEAF_NAMES}


def leaf_runs(readings: Readings, part: Part, nets: Mapping[str, Net]) -> tuple[Run, ...]:
    """Return how a leaf stands and travels.

    Which way it travels is not among the names read, so it follows from where it comes to rest.
    A timer of the part that is loaded on the way tells that the leaf was turned round there.
    """
    turns = sorted(_loads(readings, part))
    spans: list[tuple[int, int, Leaf | None]] = []
    for start, end, moving in readings.spans(readings.changes[nets["moving"].path]):
        if moving:
            cuts = [start, *(tick for tick in turns if start < tick < end), end]
            spans.extend((a, b, None) for a, b in pairwise(cuts))
        else:
            spans.extend(_resting(readings, nets, start, end))
    return joined(Run(start, end, leaf) for start, end, leaf in _directed(spans))


def _loads(readings: Readings, part: Part) -> set[int]:
    """Return the ticks at which a timer of the part shows a new span."""
    found: set[int] = set()
    for timer in part.timers:
        for before, after in pairwise(timer_runs(readings, timer)):
            if isinstance(after.state, Left) and after.state.ticks != _left_at_end([before]):
                found.add(after.start)
    return found


def _resting(
    readings: Readings, nets: Mapping[str, Net], start: int, end: int
) -> list[tuple[int, int, Leaf | None]]:
    changes = [one for one in readings.changes[nets["open"].path] if start < one[0] < end]
    ticks = [start, *(tick for tick, _ in changes), end]
    return [
        (a, b, Leaf.OPEN if readings.at(nets["open"].path, a) else Leaf.SHUT)
        for a, b in pairwise(ticks)
    ]


def _directed(spans: list[tuple[int, int, Leaf | None]]) -> list[tuple[int, int, State]]:
    """Give each stretch on the way its direction: forward from a rest, else back from the next."""
    way: list[Leaf | None] = []
    before: Leaf | None = None
    for _, _, leaf in spans:
        before = leaf or _next_way(before)
        way.append(before)
    after: Leaf | None = None
    for number in reversed(range(len(spans))):
        leaf = spans[number][2]
        after = leaf or _way_to(after)
        if leaf is None and after is not None:
            way[number] = after
    return [
        (start, end, found or Leaf.OPENING)
        for (start, end, _), found in zip(spans, way, strict=True)
    ]


def _next_way(before: Leaf | None) -> Leaf | None:
    """Return the way of a leaf that was at rest, or was turned round from another way."""
    if before is None:
        return None
    return Leaf.OPENING if before in (Leaf.SHUT, Leaf.SHUTTING) else Leaf.SHUTTING


def _way_to(after: Leaf | None) -> Leaf | None:
    """Return the way of a leaf that comes to this rest, or is turned round to this way."""
    if after is None:
        return None
    return Leaf.OPENING if after in (Leaf.OPEN, Leaf.SHUTTING) else Leaf.SHUTTING
