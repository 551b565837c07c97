"""Which rows of a run are worth showing, and in which order.

Of a part as little is shown as tells all: the leaf of a door, what a timer has left, the main
output where that says more. Rows in which nothing ever changes are left out and counted. From top
to bottom rows go from people through what they set off, so causes run downward; the claim is last.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import assert_never

from verifier.design.model import (
    BuiltIn,
    Choice,
    Claim,
    Design,
    Flag,
    Free,
    Net,
    Number,
    Part,
    Role,
    Timer,
    Walker,
)
from verifier.report.graph import Graph, Item, spoken_of
from verifier.report.history import Amount, Kept, Left, Level, Row, Run
from verifier.report.readings import (
    amount_runs,
    kept_runs,
    leaf_nets,
    leaf_runs,
    level_runs,
    option_runs,
    timer_runs,
    walker_runs,
)
from verifier.simulate.readings import Readings

_MOST_ROWS = 24


@dataclass(frozen=True, slots=True)
class Focus:
    """What a report is about: the claim, the items that it names, and all that they depend on."""

    claim: Claim | None
    asked: frozenset[Item]
    cone: frozenset[Item]

    @classmethod
    def of(cls, design: Design, claim: Claim | None = None) -> "Focus":
        """Return the focus on a claim; without one, on the whole design."""
        if claim is None:
            return cls(None, frozenset(), frozenset((*design.nets, *design.timers)))
        asked = spoken_of(claim.sentence)
        roots = set(asked)
        match claim.built_in:
            case BuiltIn.FED:
                # It names every part; only those that starve in the run are worth showing.
                asked = set()
            case BuiltIn.COUNTS:
                asked = {one.net for one in design.kept if isinstance(one.net.shape, Number)}
                roots = asked
            case None:
                pass
            case _:
                assert_never(claim.built_in)
        return cls(claim, frozenset(asked), frozenset(Graph.of(design).cone(roots)))


@dataclass(frozen=True, slots=True)
class _Found:
    """A row with its place in the order, smaller comes first.

    `acts`: what it tells is how someone or something chose, not always as without a choice.
    """

    row: Row
    place: tuple[int, int]
    acts: bool = False


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows chosen, and how many were left out because nothing changes in them."""

    rows: tuple[Row, ...]
    resting: int


def choose(design: Design, readings: Readings, focus: Focus, most: int = _MOST_ROWS) -> Rows:
    """Return the rows of a run that matter to the focus, the most telling ones if many do."""
    found = list(_Chooser(design, readings, focus).rows())
    moving = [one for one in found if one.row.changes or one.row.asked or one.acts]
    if focus.claim is not None:
        # What is asked of stays, but a name of the design's own that only repeats the claim goes.
        moving = [one for one in moving if not _repeats_claim(one.row, readings)]
    if len(moving) > most:
        moving.sort(key=lambda one: (not one.row.asked, not one.row.told, one.place))
        moving = moving[:most]
    rows = [one.row for one in sorted(moving, key=lambda one: one.place)]
    resting = len(found) - len(rows)
    if focus.claim is not None and readings.broken is not None:
        rows.append(Row(focus.claim.name, kept_runs(readings), "claim", asked=True))
    return Rows(tuple(rows), resting)


def _repeats_claim(row: Row, readings: Readings) -> bool:
    levels = [run.state for run in row.runs]
    if readings.broken is None or not all(isinstance(one, Level) for one in levels):
        return False
    broken = [
        Run(run.start, run.end, Level(live=run.state.broken))
        for run in kept_runs(readings)
        if isinstance(run.state, Kept)
    ]
    return len(broken) > 1 and list(row.runs) == broken and row.note == "let"


@dataclass(frozen=True, slots=True)
class _Chooser:
    design: Design
    readings: Readings
    focus: Focus
    free: dict[Net, Free] = field(init=False)
    distance: dict[Item, int] = field(init=False)
    ahead: dict[Item, list[Item]] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "free", {one.net: one for one in self.design.free})
        people = [one.net for one in self.design.free]
        graph = Graph.of(self.design)
        object.__setattr__(self, "distance", graph.distances(people))
        object.__setattr__(self, "ahead", graph.ahead())

    def rows(self) -> Iterator[_Found]:
        """Yield all rows there are within the focus, resting ones too."""
        for net in self.design.nets:
            if not net.part and net in self.focus.cone:
                yield from self._own_net(net)
        for timer in self.design.timers:
            if not timer.part and timer in self.focus.cone and not self._of_walker(timer):
                yield self._found(self._timer_row(timer, timer.path), timer)
        for walker in self.design.walkers:
            if walker.place in self.focus.cone:
                yield _Found(self._walker_row(walker), (0, walker.place.span.start))
        for part in self.design.parts:
            yield from self._part_rows(part)

    def _found(self, row: Row, *items: Item) -> _Found:
        """Place a row by its item nearest to people; what nobody sets off comes first of all."""
        near = min((self.distance[item] for item in items if item in self.distance), default=0)
        return _Found(row, (near, items[0].span.start if items else 0))

    def _of_walker(self, timer: Timer) -> bool:
        return any(timer is walker.timer for walker in self.design.walkers)

    def _is_asked(self, *items: Item) -> bool:
        return any(item in self.focus.asked for item in items)

    # --- what the design itself declares ---

    def _own_net(self, net: Net) -> Iterator[_Found]:
        asked = self._is_asked(net)
        if any(net is walker.exits for walker in self.design.walkers):
            return  # its walker's row tells where it went
        if net in self.free:
            yield self._choice(self._net_row(net, net.path, asked=asked), net)
        elif net.role is Role.KEPT or (net.role is Role.LET and asked):
            yield self._found(self._net_row(net, net.path, asked=asked), net)

    def _choice(self, row: Row, net: Net) -> _Found:
        """Return the row of something free; one that never rests tells as much as a moving one."""
        rest = net.shape.low if isinstance(net.shape, Number) else 0
        acts = any(value != rest for _, value in self.readings.changes[net.path])
        return replace(self._found(row, net), acts=acts)

    def _net_row(self, net: Net, name: str, *, asked: bool = False, told: bool = True) -> Row:
        note = "let" if net.role is Role.LET and not net.part else ""
        return Row(name, self._runs(net), note, asked, told)

    def _runs(self, net: Net) -> tuple[Run, ...]:
        match net.shape:
            case Flag():
                return level_runs(self.readings, net)
            case Number():
                return amount_runs(self.readings, net)
            case Choice(options):
                return option_runs(self.readings, net, options)
            case _:
                assert_never(net.shape)

    def _timer_row(self, timer: Timer, name: str, *, asked: bool = False) -> Row:
        return Row(name, timer_runs(self.readings, timer), "left", asked or self._is_asked(timer))

    def _walker_row(self, walker: Walker) -> Row:
        shape = walker.place.shape
        options = shape.options if isinstance(shape, Choice) else ()
        runs = walker_runs(self.readings, walker, options)
        return Row(walker.name, runs, "", self._is_asked(walker.place))

    # --- parts ---

    def _part_rows(self, part: Part) -> Iterator[_Found]:
        hands = [net for net in self.free if net.part == part.path]
        for net in hands:
            # Of a hand its part tells; how else something stands no other row may tell.
            asked = self._is_asked(net)
            if asked or (net in self.focus.cone and not isinstance(net.shape, Flag)):
                yield self._choice(self._net_row(net, net.path, asked=asked, told=False), net)
        items: list[Item] = [*hands, *part.ports_out, *part.lets, *part.kept, *part.timers]
        if not any(item in self.focus.cone for item in (*items, part.starving)):
            return
        asked = self._is_asked(*items)
        nets = leaf_nets(part)
        gets = list(self._starved(part))
        if nets is not None:
            rows = [Row(part.path, leaf_runs(self.readings, part, nets), "", asked)]
        else:
            rows = list(self._telling(part, hands=bool(hands), asked=asked))
        told = {tick for row in gets for tick in row.changes}
        wished = asked and self.focus.claim is None
        for row in rows:
            if wished or not row.changes or set(row.changes) - told:
                yield self._found(row, *items)
        for row in gets:
            yield self._found(row, *items)

    def _telling(self, part: Part, *, hands: bool, asked: bool) -> Iterator[Row]:
        """Yield the rows of a part, each only if it tells of a change that no earlier one tells.

        A timer stands for the output that it holds live. Timers of parts that people work are left
        out: they only keep count of a hand.
        """
        kept = [
            self._net_row(net, net.path)
            for net in part.kept
            if not isinstance(net.shape, Flag) and net in self.focus.cone
        ]
        told = bool(part.kept or (part.timers and not hands) or asked or self._is_last(part))
        output = [self._net_row(net, part.path, told=told) for net in part.ports_out[:1]]
        driven = bool(part.ports_in) and not hands
        timers = [
            self._timer_row(timer, part.path)
            for timer in part.timers
            if driven or self._is_asked(timer)
        ]
        for timer in timers:
            if output and _live_ticks(timer) == _live_ticks(output[0]):
                output = [replace(timer, note="")]
        others = [
            self._net_row(net, net.path, asked=True, told=False)
            for net in (*part.ports_out[1:], *part.lets)
            if self._is_asked(net)
        ]
        wished = [*output, *others] if asked and self.focus.claim is None else []
        seen: set[int] = set()
        for number, row in enumerate([*kept, *output, *others, *timers]):
            # What a timer does a tick after its cause is no news.
            late = {tick + 1 for tick in seen} if row in timers else set()
            if set(row.changes) - seen - late or not number or row in wished:
                yield replace(row, asked=row.asked or (asked and not number))
            seen |= set(row.changes)

    def _is_last(self, part: Part) -> bool:
        """Whether nothing follows from a part: a lamp, a bell, a door."""
        ahead = {item for out in part.ports_out for item in self.ahead.get(out, ())}
        return all(item.part == part.path for item in ahead)

    def _starved(self, part: Part) -> Iterator[Row]:
        """Yield what a part gets, if that is ever too little."""
        starving = part.starving
        if starving is None or not any(value for _, value in self.readings.changes[starving.path]):
            return
        claim = self.focus.claim
        asked = self._is_asked(starving) or (claim is not None and claim.built_in is BuiltIn.FED)
        for feed in part.ports_in:
            if feed.power:
                yield Row(part.path, amount_runs(self.readings, feed, part), "gets", asked)


def _live_ticks(row: Row) -> list[tuple[int, int]]:
    """Return the stretches in which a signal is live, an amount or a timer above 0."""
    found: list[tuple[int, int]] = []
    for run in row.runs:
        match run.state:
            case Level(live):
                above = live
            case Amount(number, _, _):
                above = number > 0
            case Left(ticks, _, _):
                above = ticks > 0
            case _:
                above = False
        if above and found and found[-1][1] == run.start:
            found[-1] = (found[-1][0], run.end)
        elif above:
            found.append((run.start, run.end))
    return found
