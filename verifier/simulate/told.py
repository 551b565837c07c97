"""Runs that people ask for: this is pressed then and so long, that walker goes there."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from verifier.design.model import Choice, Walker
from verifier.simulate.machine import Machine, Position, machine
from verifier.simulate.onward import completed
from verifier.system.cone import whole
from verifier.system.model import System
from verifier.verdict.trace import Step, Trace


class NoWayError(ValueError):
    """A walker is told to go where it cannot go at that tick; the words say so."""


@dataclass(frozen=True, slots=True)
class Held:
    """A choice (by index) stands at an option from tick `start` up to, not with, `stop`."""

    choice: int
    option: int
    start: int
    stop: int


@dataclass(frozen=True, slots=True)
class Goes:
    """A walker sets out for a room (by position) at one tick."""

    walker: Walker
    room: int
    start: int


Act = Held | Goes


def played(system: System, acts: Sequence[Act], length: int) -> Trace:
    """Return the run of `length` ticks with these acts; all else rests, spans are at their lowest.

    Raises:
        NoWayError: A walker has no open way to its room.
    """
    player = _Player(system, machine(whole(system), ()))
    at = player.machine.start()
    steps: list[Step] = []
    ticks = sorted({0, length, *_moments(acts)})
    ticks = [tick for tick in ticks if tick <= length]
    for start, end in pairwise(ticks):
        choices = player.choices(acts, start, at)
        steps.append(Step(choices, (0,) * len(system.clocks), end - start))
        at = player.after(at, choices, end - start)
    return completed(system, Trace(tuple(steps)))


def standing(system: System, acts: Sequence[Act], tick: int) -> tuple[int, ...]:
    """Return at which options the choices are held at a tick; walkers stay."""
    choices = [0] * len(system.choices)
    for act in acts:
        if isinstance(act, Held) and act.start <= tick < act.stop:
            choices[act.choice] = act.option
    return tuple(choices)


def _moments(acts: Sequence[Act]) -> list[int]:
    found: list[int] = []
    for act in acts:
        match act:
            case Held(_, _, start, stop):
                found += [start, stop]
            case Goes(_, _, start):
                found += [start, start + 1]
    return found


@dataclass(frozen=True, slots=True)
class _Player:
    system: System
    machine: Machine

    def choices(self, acts: Sequence[Act], tick: int, at: Position) -> tuple[int, ...]:
        """Return all choices at one tick."""
        choices = list(standing(self.system, acts, tick))
        for act in acts:
            if isinstance(act, Goes) and act.start == tick:
                place = self._choice(act.walker.exits.path)
                choices[place] = self._exit(act, at, choices)
        return tuple(choices)

    def after(self, at: Position, choices: Sequence[int], ticks: int) -> Position:
        """Return the state after so many ticks under the same choices."""
        none = (0,) * len(self.machine.clocks)
        while ticks:
            look = self.machine.look(*at, choices)
            draws = self.machine.fitted(look, none)
            most = self.machine.longest_jump(at, look, draws)
            jump = ticks if most is None else min(most, ticks)
            at = self.machine.after(at, look, draws, jump)
            ticks -= jump
        return at

    def _choice(self, path: str) -> int:
        return next(n for n, choice in enumerate(self.system.choices) if choice.name == path)

    def _exit(self, act: Goes, at: Position, choices: Sequence[int]) -> int:
        """Return the exit that leads a walker to its room: each is tried for a tick."""
        exits = self._choice(act.walker.exits.path)
        tried = list(choices)
        for option in range(1, self.machine.options[exits]):
            tried[exits] = option
            place = self._place(act.walker, self.machine.look(*at, tried).registers)
            if place != self._place(act.walker, at[0]) and act.walker.ends[place] == act.room:
                return option
        shape = act.walker.place.shape
        rooms = shape.options if isinstance(shape, Choice) else ()
        raise NoWayError(f"{act.walker.name} has no open way to {rooms[act.room]} then")

    def _place(self, walker: Walker, registers: Sequence[bool]) -> int:
        """Read a place off registers: one for each option but the first."""
        nodes = self.system.shown[walker.place.path].nodes[1:]
        live = [registers[node.data[0]] for node in nodes]
        return live.index(True) + 1 if True in live else 0
