"""Which rows of a run are worth showing, and in which order.

Of a part as little is shown as tells all: the leaf of a door, what a timer has left, the main
output where that says more. Rows in which nothing ever changes are left out and counted. From top
to bottom rows go from people through what they set off, so causes run downward; the claim is last.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import assert_never

from verifier.design.model import (
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
from verifier.report.history import Kept, Left, Level, Row, Run
from verifier.report.readings import (
    Readings,
    amount_runs,
    kept_runs,
    leaf_nets,
    leaf_runs,
    level_runs,
    option_runs,
    timer_runs,
    walker_runs,
)

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
        if claim.built_in is not None:
            asked |= {part.starving for part in design.parts if part.starving is not None}
        return cls(claim, frozenset(asked), frozenset(Graph.of(design).cone(asked)))


@dataclass(frozen=True, slots=True)
class _Found:
    """A row with what it stands for and its place in the order: smaller comes first."""

    row: Row
    place: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows chosen, and how many were left out because nothing changes in them."""

    rows: tuple[Row, ...]
    resting: int


def choose(design: Design, readings: Readings, focus: Focus) -> Rows:
    """Return the rows of a run that matter to the focus."""
    found = list(_Chooser(design, readings, focus).rows())
    moving = [one for one in found if one.row.changes or one.row.asked]
    if focus.claim is not None:
        # What is asked of stays, but a name of the design's own that only repeats the claim goes.
        moving = [one for one in moving if not _repeats_claim(one.row, readings)]
    if len(moving) > _MOST_ROWS:
        moving.sort(key=lambda one: (not one.row.asked, not one.row.told, one.place))
        moving = moving[:_MOST_ROWS]
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

    def __post_init__(self) -> None:
        object.__setattr__(self, "free", {one.net: one for one in self.design.free})
        people = [one.net for one in self.design.free]
        object.__setattr__(self, "distance", Graph.of(self.design).distances(people))

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
        if net.role in (Role.KEPT, Role.FREE) or (net.role is Role.LET and asked):
            yield self._found(self._net_row(net, net.path, asked=asked), net)

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
        items: list[Item] = [*hands, *part.ports_out, *part.lets, *part.kept, *part.timers]
        if not any(item in self.focus.cone for item in (*items, part.starving)):
            return
        asked = self._is_asked(*items)
        nets = leaf_nets(part)
        if nets is not None:
            row = Row(part.path, leaf_runs(self.readings, part, nets), "", asked)
            yield self._found(row, *items)
        else:
            for row in self._distinct(part, asked=asked):
                yield self._found(row, *items)
        yield from self._starved(part)

    def _distinct(self, part: Part, *, asked: bool) -> Iterator[Row]:
        """Yield the rows of a part, each only if it tells of a change that no earlier one tells.

        A timer comes before the output that it holds live. It comes after it where people work the
        part, since then it only keeps count of their hand, and where it never rests, since then it
        only counts towards the next change.
        """
        timers = [self._timer_row(timer, part.path) for timer in part.timers]
        hands = any(net.part == part.path for net in self.free)
        first = [] if hands else [row for row in timers if self._rests(row)]
        kept = [
            self._net_row(net, net.path)
            for net in part.kept
            if not isinstance(net.shape, Flag) and net in self.focus.cone
        ]
        output = [
            self._net_row(net, part.path, told=bool(hands or part.kept or part.timers or asked))
            for net in part.ports_out[:1]
        ]
        last = [] if hands else [row for row in timers if row not in first]
        seen: set[int] = set()
        shown = False
        for row in (*first, *kept, *output, *last):
            if set(row.changes) <= seen and (shown or row not in output):
                continue
            seen |= set(row.changes)
            note = row.note if shown or kept else row.note.replace("left", "")
            yield replace(row, note=note, asked=row.asked or (asked and not shown))
            shown = True

    def _rests(self, row: Row) -> bool:
        return any(isinstance(run.state, Left) and run.state.ticks == 0 for run in row.runs)

    def _starved(self, part: Part) -> Iterator[_Found]:
        """Yield what a part gets, if that is ever too little."""
        starving = part.starving
        if starving is None or not any(value for _, value in self.readings.changes[starving.path]):
            return
        for feed in part.ports_in:
            if feed.power:
                runs = amount_runs(self.readings, feed, part)
                row = Row(part.path, runs, "gets", self._is_asked(starving))
                yield self._found(row, feed)
