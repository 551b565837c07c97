"""Follows a design left alone until its state comes again: when it settles, and its period.

All is done by jumps, so the cost goes with the number of events in a round and neither with their
length nor with the tick. The run is the only one there is, so a state that comes back once comes
back for ever; the first tick that belongs to the loop is then found by halving, since from there on
every tick equals the one a period later.
"""

from bisect import bisect_right
from dataclasses import dataclass, field

from verifier.simulate.machine import NO_DRAW, Machine, Position, machine
from verifier.simulate.presses import position_in
from verifier.system.cone import whole
from verifier.system.model import Cone, System
from verifier.system.state import State
from verifier.verdict.trace import Step, Trace

MOST_JUMPS = 20_000
"""So many jumps are made in search of a loop."""


@dataclass(frozen=True, slots=True)
class Loop:
    """From tick `settles` on all repeats every `period` ticks; None: nothing changes any more.

    `trace` is the run up to the end of the first round, or to the tick in which all is at rest.
    `jumps` counts how many it took to find that out. `drawn`: a span with a range was loaded on the
    way, so there are other runs than this one.
    """

    settles: int
    period: int | None
    trace: Trace
    jumps: int
    drawn: bool


@dataclass(frozen=True, slots=True)
class Astray:
    """No loop was found by tick `until`."""

    until: int
    trace: Trace
    jumps: int
    drawn: bool


@dataclass(slots=True)
class _Path:
    """A run in the making: where each jump began, and in which state."""

    machine: Machine
    begun: Trace
    drawn: bool = False
    ticks: list[int] = field(default_factory=list)
    states: list[Position] = field(default_factory=list)

    def at(self, tick: int) -> Position:
        """Return the state at a tick that was gone through after the presses."""
        place = bisect_right(self.ticks, tick) - 1
        at, gone = self.states[place], tick - self.ticks[place]
        return self.jump(at, gone)[0] if gone else at

    def jump(self, at: Position, most: int | None = None) -> tuple[Position, int | None]:
        """Return where the longest jump leads, or one of `most` ticks, and how many it takes.

        None: nothing changes any more, no clock either.
        """
        follower = self.machine
        look = follower.look(*at, follower.rest())
        draws = follower.fitted(look, (0,) * len(follower.clocks))
        self.drawn = self.drawn or any(one != NO_DRAW for one in draws)
        ticks = follower.longest_jump(at, look, draws) if most is None else most
        after = follower.after(at, look, draws, 1 if ticks is None else ticks)
        # A load can still move a clock where nothing that reads it tells the difference.
        return after, 1 if ticks is None and after != at else ticks

    def trace(self, until: int) -> Trace:
        """Return the run of the whole system up to, not with, a tick."""
        system = self.machine.cone.system
        rest = Step((0,) * len(system.choices), (0,) * len(system.clocks), until - self.ticks[0])
        return Trace((*self.begun.steps, rest) if rest.ticks else self.begun.steps)


def loop_of(system: System, begun: Trace, part: Cone | None = None) -> Loop | Astray:
    """Return the loop into which a run settles when it is left alone from the end of `begun` on.

    `part` is what must come again, the whole system where it is not given. Spans that are ranges
    take their lowest value.
    """
    follower = _follower(whole(system) if part is None else part)
    path = _Path(follower, begun)
    at, tick = _after(path, begun), begun.length
    seen: dict[Position, int] = {}
    for jumps in range(MOST_JUMPS):
        path.ticks.append(tick)
        path.states.append(at)
        if at in seen:
            period = tick - seen[at]
            settles = _first(path, seen[at], period)
            trace = path.trace(settles + period)
            return Loop(settles, period, trace, jumps, path.drawn)
        seen[at] = tick
        at, ticks = path.jump(at)
        if ticks is None:
            return Loop(tick, None, path.trace(tick + 1), jumps, path.drawn)
        tick += ticks
    return Astray(tick, path.trace(tick), MOST_JUMPS, path.drawn)


def _follower(part: Cone) -> Machine:
    """Return a part made ready to run, in which every clock is watched until it has run out.

    Else a clock that only outputs read, as the leaf of a door, would be taken to rest at once.
    """
    above = part.system.pool.above
    return machine(part, [above(clock, 0) for clock in part.clocks])


def _first(path: _Path, known: int, period: int) -> int:
    """Return the first tick whose state equals that of a period later; `known` is one."""
    low, high = path.ticks[0], known
    while low < high:
        half = (low + high) // 2
        if path.at(half) == path.at(half + period):
            high = half
        else:
            low = half + 1
    return low


def _after(path: _Path, begun: Trace) -> Position:
    """Return the state after a run of the whole system."""
    part = path.machine.cone
    everything = machine(whole(part.system), ())
    at = everything.start()
    for step in begun.steps:
        left = step.ticks
        while left:
            look = everything.look(*at, step.choices)
            draws = everything.fitted(look, step.draws)
            path.drawn = path.drawn or any(one != NO_DRAW for one in draws)
            most = everything.longest_jump(at, look, draws)
            ticks = left if most is None else min(most, left)
            at = everything.after(at, look, draws, ticks)
            left -= ticks
    return position_in(part, State(*at))
