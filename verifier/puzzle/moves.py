"""What people do in a run: presses, and walkers' setting out; and what was left to luck in it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from verifier.simulate.feet import feet_of, spread
from verifier.simulate.machine import NO_DRAW, Look, Machine, Position, machine
from verifier.system.cone import cone
from verifier.system.expr import Node
from verifier.system.model import System
from verifier.verdict.trace import Step, Trace


class Move(NamedTuple):
    """A press, of choice `choice` to option `to`; or a walker's setting out for room `to`."""

    choice: int
    to: int


@dataclass(frozen=True, slots=True)
class Made:
    """A move at one tick; `ticks` is how long a press is held, up to the end of the run."""

    tick: int
    move: Move
    ticks: int


@dataclass(frozen=True, slots=True)
class Luck:
    """At a tick clock `clock` was loaded with `ticks`, drawn from `low` .. `high`."""

    tick: int
    clock: int
    ticks: int
    low: int
    high: int


@dataclass(frozen=True, slots=True)
class Deeds:
    """All moves of a run in order, and all that was drawn where it can matter."""

    moves: tuple[Made, ...]
    luck: tuple[Luck, ...]


def presses_in(system: System, before: Sequence[int], now: Sequence[int]) -> Iterator[Move]:
    """Yield the presses by which the choices of one tick differ from those before."""
    for choice, (was, is_) in enumerate(zip(before, now, strict=True)):
        if is_ not in (0, was) and system.choices[choice].is_press:
            yield Move(choice, is_)


def deeds(system: System, target: Node, trace: Trace) -> Deeds:
    """Return what was done in a run from the start values, as far as the target depends on it."""
    return _Follower(system, target).follow(trace)


class _Follower:
    """Runs a trace once more in the cone of its target."""

    def __init__(self, system: System, target: Node) -> None:
        self.system = system
        self.part = cone(system, [target])
        self.machine: Machine = machine(self.part, (target, system.allowed))
        self.feet = [one for one in feet_of(system).values() if one.choice in self.part.choices]
        self.moves: list[Made] = []
        self.luck: list[Luck] = []
        self.tick = 0

    def follow(self, trace: Trace) -> Deeds:
        at, before = self.machine.start(), [0] * len(self.system.choices)
        for step in trace.steps:
            choices = [0] * len(before)
            for index in self.part.choices:
                choices[index] = step.choices[index]
            self.moves += [
                Made(self.tick, move, _held(trace, self.tick, move))
                for move in presses_in(self.system, before, choices)
            ]
            at, before = self._step(at, step), choices
        return Deeds(tuple(self.moves), tuple(self.luck))

    def _step(self, at: Position, step: Step) -> Position:
        chosen = [step.choices[index] for index in self.part.choices]
        wished = [step.draws[index] for index in self.part.clocks]
        walks = any(step.choices[one.choice] for one in self.feet)
        left = step.ticks
        while left:
            look = self.machine.look(*at, chosen)
            draws = self.machine.fitted(look, wished)
            most = self.machine.longest_jump(at, look, draws)
            ticks = 1 if walks else min(left, most or left)
            self._note(at, look, draws)
            at = self.machine.after(at, look, draws, ticks)
            left -= ticks
            self.tick += ticks
        return at

    def _note(self, at: Position, look: Look, draws: Sequence[int]) -> None:
        for one in self.feet:
            before, after = spread(self.part, at[0]), spread(self.part, look.registers)
            if one.sets_out(before, after):
                self.moves.append(Made(self.tick, Move(one.choice, one.room(after)), 1))
        for place, drawn in enumerate(draws):
            if drawn != NO_DRAW:
                load = self.machine.clocks[place].loads[look.loads[place]]
                clock = self.part.clocks[place]
                self.luck.append(Luck(self.tick, clock, drawn, load.low, load.high))


def _held(trace: Trace, start: int, move: Move) -> int:
    """Return for how long a choice then stays at its option."""
    tick, held = 0, 0
    for step in trace.steps:
        if tick >= start:
            if step.choices[move.choice] != move.to:
                break
            held += step.ticks
        tick += step.ticks
    return held
