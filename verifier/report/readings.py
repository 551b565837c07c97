"""Values of a run, and how they turn into the states that a person follows."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from verifier.design.model import Net, Part, Timer, Walker
from verifier.report.history import Amount, Kept, Leaf, Left, Level, Place, Run, State, joined

Change = tuple[int, int]  # a tick and the value from then on


@dataclass(frozen=True, slots=True)
class Readings:
    """The value of each net and timer at each tick of a run, as changes by path.

    Flags are 0 and 1, choices the position of the option, timers the ticks left. The first change
    is at tick 0. `broken`: likewise, whether the claim is broken there; None without a claim.
    """

    length: int
    changes: Mapping[str, Sequence[Change]]
    broken: Sequence[Change] | None = None

    def at(self, path: str, tick: int) -> int:
        """Return a value at one tick."""
        value = 0
        for start, found in self.changes[path]:
            if start > tick:
                break
            value = found
        return value

    def spans(self, changes: Sequence[Change]) -> list[tuple[int, int, int]]:
        """Return (start, end, value) of each stretch of one value."""
        ends = [start for start, _ in changes[1:]] + [self.length]
        spans = [(start, end, value) for (start, value), end in zip(changes, ends, strict=True)]
        return [one for one in spans if one[0] < one[1]]


def level_runs(readings: Readings, net: Net) -> tuple[Run, ...]:
    """Return when a flag, or an amount above 0, is live."""
    spans = readings.spans(readings.changes[net.path])
    return joined(Run(start, end, Level(live=value > 0)) for start, end, value in spans)


def amount_runs(readings: Readings, net: Net, part: Part | None = None) -> tuple[Run, ...]:
    """Return the numbers on a net; with a part, what it needs wherever it is starving."""
    spans = readings.spans(readings.changes[net.path])
    need = part.draw if part is not None else 0
    return joined(
        Run(start, end, Amount(value, need if 0 < value < need else 0))
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
        Run(start, end, Place(options[value], rest=value == 0)) for start, end, value in spans
    )


def walker_runs(readings: Readings, walker: Walker, options: Sequence[str]) -> tuple[Run, ...]:
    """Return in which room a walker is, or between which.

    Its place stays at the passage until it sets out again; once the timer shows 0 it has arrived.
    """
    place, left = readings.changes[walker.place.path], readings.changes[walker.timer.path]
    ticks = sorted({tick for tick, _ in (*place, *left)})
    runs: list[Run] = []
    for start, end in pairwise([*ticks, readings.length]):
        value = readings.at(walker.place.path, start)
        going = walker.ends[value] != value and readings.at(walker.timer.path, start) > 0
        name = options[value if going else walker.ends[value]]
        runs.append(Run(start, end, Place(name, between=going)))
    return joined(runs)


def timer_runs(readings: Readings, timer: Timer) -> tuple[Run, ...]:
    """Return how a timer falls, stands still or rests.

    A stretch that falls by one each tick is one run, however many changes it has.
    """
    spans = readings.spans(readings.changes[timer.path])
    runs: list[Run] = []
    number, full, before = 0, 0, 0
    while number < len(spans):
        start, end, value = spans[number]
        full = value if value > before else full
        last = number
        while last + 1 < len(spans) and _falls(spans[last], spans[last + 1]):
            last += 1
        before = spans[last][2]
        if value == 0:
            runs.append(Run(start, end, Left(0, 0, falls=False)))
        elif last > number or end - start == 1:
            falls_to, stands_to, rest = spans[last]
            falls_to += 1
            runs.append(Run(start, falls_to, Left(value, full, falls=True)))
            if falls_to < stands_to:
                runs.append(Run(falls_to, stands_to, Left(rest, full, falls=False)))
        else:
            runs.append(Run(start, end, Left(value, full, falls=False)))
        number = last + 1
    return joined(runs)


def _falls(one: tuple[int, int, int], following: tuple[int, int, int]) -> bool:
    start, end, value = one
    return end - start == 1 and following[2] == value - 1 > 0


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
    found: set[int] = set()
    for timer in part.timers:
        pairs = pairwise(readings.changes[timer.path])
        found |= {tick for (_, before), (tick, value) in pairs if value > before}
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
