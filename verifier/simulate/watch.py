"""Runs a trace once more and notes the value of everything that people can name.

By jumps, so that an hour in which nothing happens costs as little as a tick. After its end the run
may go on with nobody acting any more until all is at rest, so that one sees how it ends.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import assert_never

from verifier.design.model import Choice, Flag, Number, Shape
from verifier.simulate.machine import COUNTS, Look, Machine, Position, machine
from verifier.simulate.onward import position
from verifier.simulate.readings import Change, Readings, Shown
from verifier.system.cone import whole
from verifier.system.expr import Node
from verifier.system.model import System
from verifier.verdict.trace import Trace

_TAIL = 20  # a run at rest is shown for one part in so many of its length


@dataclass(frozen=True, slots=True)
class Again:
    """From tick `start` on it all repeats every `period` ticks; `times` more, None: for ever."""

    start: int
    period: int
    times: int | None


@dataclass(frozen=True, slots=True)
class Watched:
    """What was seen. `end` is the tick after the last of the trace itself.

    `again` tells where the run, left alone, comes back to where it was; `rests`: it came to rest.
    """

    readings: Readings
    end: int
    again: Again | None
    rests: bool


def watch(
    system: System,
    trace: Trace,
    claim: Node | None = None,
    calm: int = 0,
    *,
    again: bool = False,
    standing: Sequence[int] | None = None,
) -> Watched:
    """Return all values along a trace; `claim` is broken where it is live.

    The run then goes on for at most `calm` jumps, if it rests by then, or, with `again`, comes
    again; else it ends a tick later. All choices are at rest there, or as `standing` says.
    """
    film = _film(system, claim)
    at = film.machine.start() if trace.start is None else position(trace.start)
    for step in trace.steps:
        until = film.tick + step.ticks
        while film.tick < until:
            jump = film.jump(at, step.choices, step.draws, until - film.tick)
            at = film.note(jump)
    end = film.tick
    choices = film.machine.rest() if standing is None else standing
    jumps, comes_again, rests = film.onward(at, choices, calm)
    if comes_again and not again:
        jumps, comes_again = film.onward(at, choices, 1)[0], None
    for jump in jumps:
        film.note(jump)
    return Watched(film.readings(), end, comes_again, rests)


@dataclass(frozen=True, slots=True)
class _Jump:
    at: Position
    look: Look
    ticks: int
    after: Position
    rests: bool


Reader = Callable[[Look], int]


@dataclass(slots=True)
class _Film:
    """A run in the making: `tick` is the one that comes next."""

    machine: Machine
    allowed: int
    values: Mapping[str, Reader]
    clocks: Mapping[str, int]
    claim: Reader | None
    tick: int = 0
    changes: dict[str, list[Change]] = field(default_factory=dict)
    timers: dict[str, list[Shown]] = field(default_factory=dict)
    broken: list[Change] = field(default_factory=list)

    def jump(
        self, at: Position, choices: Sequence[int], wished: Sequence[int], most: int | None
    ) -> _Jump:
        """Return the longest jump from here, no longer than `most` ticks."""
        look = self.machine.look(*at, choices)
        draws = self.machine.fitted(look, wished)
        longest = self.machine.longest_jump(at, look, draws)
        rests = longest is None
        known = [one for one in (longest, most) if one is not None]
        ticks = min(known) if known else max(1, self.tick // _TAIL)
        return _Jump(at, look, ticks, self.machine.after(at, look, draws, ticks), rests)

    def onward(
        self, at: Position, choices: Sequence[int], most: int
    ) -> tuple[list[_Jump], Again | None, bool]:
        """Return how the run goes on if no choice changes, and whether it comes again or rests."""
        draws = (0,) * len(self.machine.clocks)
        jumps: list[_Jump] = []
        seen: dict[Position, int] = {}
        tick = self.tick
        for _ in range(most):
            if at in seen:
                return jumps, Again(seen[at], tick - seen[at], None), False
            seen[at] = tick
            jump = self.jump(at, choices, draws, None)
            if not jump.look.seen[self.allowed]:
                break
            jumps.append(jump)
            if jump.rests:
                return jumps, None, True
            at, tick = jump.after, tick + jump.ticks
        if jumps:
            return [self.jump(jumps[0].at, choices, draws, 1)], None, False
        return [], None, False

    def note(self, jump: _Jump) -> Position:
        """Note what is seen on a jump, and return where it leads."""
        for path, read in self.values.items():
            _note(self.changes.setdefault(path, []), self.tick, read(jump.look))
        if self.claim is not None:
            _note(self.broken, self.tick, self.claim(jump.look))
        for path, clock in self.clocks.items():
            self._note_timer(self.timers.setdefault(path, []), clock, jump)
        self.tick += jump.ticks
        return jump.after

    def _note_timer(self, shown: list[Shown], clock: int, jump: _Jump) -> None:
        left = jump.at[1][clock]
        counts = jump.look.loads[clock] == COUNTS
        # In the tick of a load a timer is in its last moment: it does not stand still.
        falls = jump.look.runs[clock] if counts else jump.after[1][clock] != left
        _show(shown, Shown(self.tick, left, falls and left > 0))
        if not counts and jump.ticks > 1:
            _show(shown, Shown(self.tick + 1, jump.after[1][clock], falls=False))

    def readings(self) -> Readings:
        """Return all that was noted."""
        broken = self.broken if self.claim is not None else None
        return Readings(self.tick, self.changes, self.timers, broken)


def _film(system: System, claim: Node | None) -> _Film:
    nodes = dict.fromkeys(node for bits in system.shown.values() for node in bits.nodes)
    nodes.update(dict.fromkeys([system.allowed, *([claim] if claim is not None else [])]))
    place = {node: index for index, node in enumerate(nodes)}
    shapes = {net.path: net.shape for net in system.design.nets}
    values: dict[str, Reader] = {}
    clocks: dict[str, int] = {}
    for path, bits in system.shown.items():
        if bits.timer is not None:
            clocks[path] = bits.timer
        else:
            places = [place[node] for node in bits.nodes]
            values[path] = _reader(shapes[path], places, bits.low)
    return _Film(
        machine(whole(system, tuple(nodes)), tuple(nodes)),
        place[system.allowed],
        values,
        clocks,
        None if claim is None else _reader(Flag(), [place[claim]], 0),
    )


def _reader(shape: Shape, places: Sequence[int], low: int) -> Reader:
    """Return a function that reads a value off the nodes seen."""
    match shape:
        case Flag():
            return lambda look: int(look.seen[places[0]])
        case Number():
            return lambda look: low + sum(look.seen[one] for one in places)
        case Choice():
            return lambda look: next(
                (option for option, one in enumerate(places) if look.seen[one]), 0
            )
        case _:
            assert_never(shape)


def _note(changes: list[Change], tick: int, value: int) -> None:
    if not changes or changes[-1][1] != value:
        changes.append((tick, value))


def _show(shown: list[Shown], one: Shown) -> None:
    """Note what a timer shows, unless that follows from what was noted last."""
    if shown:
        last = shown[-1]
        expected = last.left - (one.tick - last.tick) if last.falls else last.left
        if one.falls == last.falls and one.left == expected:
            return
    shown.append(one)
