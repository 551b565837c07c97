"""How a run goes on: draws that the rest of the system needs, and a way on for ever.

With assumptions a run counts only if it can go on for ever. A way on is looked for by holding the
choices, then by depth-first search over all choices, tick by tick or from event to event.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from itertools import product

from verifier.simulate.machine import Machine, Position, machine
from verifier.simulate.presses import Stretch, position_in, trace_of
from verifier.system.cone import cone, whole
from verifier.system.model import System
from verifier.system.state import State, start_of
from verifier.verdict.trace import Lasso, Trace

MOST_LOOKS = 1_000_000
"""So many ways of a tick are looked at for a way on, where assumptions rule out nearly all: some
two seconds."""


def completed(system: System, trace: Trace) -> Trace:
    """Return the run of a cone as one of the whole system: spans are drawn outside of it too."""
    if not any(clock.ranged for clock in system.clocks):
        return trace
    stretches = [stretch for stretch, _ in _followed(system, trace)]
    start = None if trace.start is None else position(trace.start)
    return trace_of(whole(system), stretches, start)


def _followed(system: System, trace: Trace) -> Iterator[tuple[Stretch, Position]]:
    """Yield what is done along a run, from event to event, and where each leads."""
    everything = machine(whole(system), ())
    at = everything.start() if trace.start is None else position(trace.start)
    for step in trace.steps:
        left = step.ticks
        while left:
            look = everything.look(*at, step.choices)
            draws = everything.fitted(look, step.draws)
            most = everything.longest_jump(at, look, draws)
            ticks = left if most is None else min(most, left)
            at = everything.after(at, look, draws, ticks)
            left -= ticks
            yield Stretch(ticks, step.choices, draws), at


def end_of(system: System, trace: Trace) -> State:
    """Return the state after a run."""
    last = start_of(system) if trace.start is None else trace.start
    for _, at in _followed(system, trace):
        last = State(*at)
    return last


def position(state: State) -> Position:
    """Return a state as a position in the whole system."""
    return state.registers, state.clocks


class Way(Enum):
    """Whether a run can go on for ever within the assumptions."""

    FOUND = "found"
    NONE = "none"
    UNKNOWN = "unknown"


@dataclass(slots=True, eq=False)
class _Search:
    """Depth-first search for a state that comes back; `dead` states lead nowhere."""

    machine: Machine
    most: int
    looked: int = 0

    def way_on(self, start: Position) -> tuple[Way, tuple[list[Stretch], int] | None]:
        dead: set[Position] = set()
        path: list[tuple[Position, Iterator[tuple[Stretch, Position]]]] = []
        taken: list[Stretch] = []
        depth: dict[Position, int] = {start: 0}
        path.append((start, self._onward(start)))
        while path:
            if self.looked > self.most:
                return Way.UNKNOWN, None
            at, ways = path[-1]
            following = next(ways, None)
            if self.looked > MOST_LOOKS:
                return Way.UNKNOWN, None  # not all ways were tried: nothing is certain
            if following is None:
                dead.add(at)
                path.pop()
                del depth[at]
                if taken:
                    taken.pop()
                continue
            stretch, after = following
            if after in dead:
                continue
            taken.append(stretch)
            if after in depth:
                back = sum(one.ticks for one in taken[: depth[after]])
                return Way.FOUND, (taken, back)
            depth[after] = len(path)
            path.append((after, self._onward(after)))
        return Way.NONE, None

    def _onward(self, at: Position) -> Iterator[tuple[Stretch, Position]]:
        """Yield each way on from a state: calm ones by jumps, then every choice by a tick."""
        tried = set()
        for choices in self._choices():
            if self.looked > MOST_LOOKS:
                return
            look = self.machine.look(*at, choices)
            if not look.seen[0]:
                self.looked += 1
                continue
            for draws in self.machine.draws(look):
                self.looked += 1
                most = self.machine.longest_jump(at, look, draws)
                for ticks in (most or 1 + max(at[1], default=0), 1):
                    after = self.machine.after(at, look, draws, ticks)
                    if after not in tried:
                        tried.add(after)
                        yield Stretch(ticks, choices, draws), after

    def _choices(self) -> Iterator[tuple[int, ...]]:
        yield from product(*(range(count) for count in self.machine.options))


def way_on(system: System, at: State | None, most: int = 20_000) -> tuple[Way, Lasso | None]:
    """Return whether some allowed run goes on for ever from a state (None: from the start).

    The lasso begins at that state, and comes back to it as far as the assumptions can tell; the
    rest of the system has no say. Way.NONE is certain: every allowed way ends.
    """
    part = cone(system, [])
    follower = machine(part, (system.allowed,))
    start = follower.start() if at is None else position_in(part, at)
    way, found = _Search(follower, most).way_on(start)
    if found is None:
        return way, None
    taken, back = found
    return way, Lasso(trace_of(part, taken, start), back)
