"""A run told by what people and spans do: presses from tick to tick, and spans as they are drawn.

Presses can be dropped, moved and joined where a list of states could not; playing them again by
jumps tells whether the run still meets what it met.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from verifier.simulate.machine import NO_DRAW, Machine, Position
from verifier.system.model import Cone
from verifier.verdict.trace import State, Step, Trace

Choices = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Stretch:
    """So many ticks of a run with the same choices and draws, by place in the cone.

    `draws` holds NO_DRAW for each clock that loads no span with a range.
    """

    ticks: int
    choices: Choices
    draws: Choices


@dataclass(frozen=True, slots=True, order=True)
class Press:
    """Choice `choice` stands at `option` from tick `start` up to, not with, tick `stop`."""

    start: int
    stop: int
    choice: int
    option: int


@dataclass(frozen=True, slots=True, order=True)
class Draw:
    """From tick `at` on, clock `clock` shows `value` next whenever it loads a span with a range."""

    at: int
    clock: int
    value: int


@dataclass(frozen=True, slots=True)
class Plan:
    """All that is free in a run of `length` ticks; presses of one choice do not overlap.

    `steps` are the choices of walkers where each press of one is a setting out, of one tick.
    """

    length: int
    presses: tuple[Press, ...]
    draws: tuple[Draw, ...]
    steps: frozenset[int] = frozenset()

    @property
    def cost(self) -> tuple[int, int, int, int]:
        """What shrinking makes less: ticks, presses, held ticks, draws."""
        held = sum(press.stop - press.start for press in self.presses)
        return self.length, len(self.presses), held, len(self.draws)


def plan_of(stretches: Sequence[Stretch], steps: frozenset[int] = frozenset()) -> Plan:
    """Return the presses and draws of a run; of a choice in `steps` each stretch is a press."""
    presses: list[Press] = []
    draws: list[Draw] = []
    open_since: dict[int, tuple[int, int]] = {}
    drawn: dict[int, int] = {}
    tick = 0
    for stretch in stretches:
        for choice, option in enumerate(stretch.choices):
            before = open_since.get(choice)
            if before is not None and (before[1] != option or choice in steps):
                presses.append(Press(before[0], tick, choice, before[1]))
                del open_since[choice]
            if option and choice not in open_since:
                open_since[choice] = (tick, option)
        for clock, value in enumerate(stretch.draws):
            if value != NO_DRAW and drawn.get(clock) != value:
                draws.append(Draw(tick, clock, value))
                drawn[clock] = value
        tick += stretch.ticks
    presses.extend(Press(at, tick, choice, option) for choice, (at, option) in open_since.items())
    return Plan(tick, tuple(sorted(presses)), tuple(draws), steps)


def stretches_of(plan: Plan, machine: Machine, *, rest: int = 0) -> tuple[Stretch, ...]:
    """Return what is chosen and wished along a plan, and so many ticks of rest behind it."""
    end = plan.length + rest
    marks = {0, plan.length, *(at for one in plan.presses for at in (one.start, one.stop))}
    ticks = sorted(at for at in {*marks, *(draw.at for draw in plan.draws)} if at < end)
    made: list[Stretch] = []
    for at, until in pairwise([*ticks, end]):
        choices, draws = list(machine.rest()), [0] * len(machine.clocks)
        for press in plan.presses:
            if press.start <= at < press.stop:
                choices[press.choice] = press.option
        for draw in plan.draws:
            if draw.at <= at:
                draws[draw.clock] = draw.value
        made.append(Stretch(until - at, tuple(choices), tuple(draws)))
    return tuple(made)


def play(machine: Machine, plan: Plan, start: Position) -> tuple[Stretch, ...] | None:
    """Play the presses; return the run up to its first meeting, None if it meets nothing.

    The machine watches the target first and `allowed` second; a run that is not allowed meets
    nothing. Costs one look for each jump.
    """
    at, tick = start, 0
    done: list[Stretch] = []
    changes = _changes(plan)
    choices = list(machine.rest())
    wished = [0] * len(machine.clocks)
    for index, (moment, marks) in enumerate(changes):
        for mark in marks:
            _apply(mark, moment, choices, wished)
        until = changes[index + 1][0] if index + 1 < len(changes) else plan.length
        until = min(until, plan.length)
        while tick < until:
            look = machine.look(*at, choices)
            target, allowed = look.seen
            if not allowed:
                return None
            draws = machine.fitted(look, wished)
            if target:
                done.append(Stretch(1, tuple(choices), draws))
                return tuple(done)
            most = machine.longest_jump(at, look, draws)
            ticks = until - tick if most is None else min(most, until - tick)
            done.append(Stretch(ticks, tuple(choices), draws))
            at = machine.after(at, look, draws, ticks)
            tick += ticks
    return None


def _changes(plan: Plan) -> list[tuple[int, list[Press | Draw]]]:
    """Return the ticks at which something changes, 0 among them, with what does."""
    marks: dict[int, list[Press | Draw]] = {0: []}
    for press in plan.presses:
        marks.setdefault(press.stop, []).append(press)
    for press in plan.presses:
        marks.setdefault(press.start, []).append(press)
    for draw in plan.draws:
        marks.setdefault(draw.at, []).append(draw)
    return sorted(marks.items())


def _apply(mark: Press | Draw, tick: int, choices: list[int], draws: list[int]) -> None:
    match mark:
        case Press(start, _, choice, option):
            choices[choice] = option if tick == start else 0
        case Draw(_, clock, value):
            draws[clock] = value


def trace_of(cone: Cone, stretches: Sequence[Stretch], start: Position | None = None) -> Trace:
    """Return a run of the cone as a run of the whole system; the rest of it rests.

    `start` is the state at tick 0 where the question is asked from anywhere.
    """
    steps: list[Step] = []
    for stretch in stretches:
        choices = [0] * len(cone.system.choices)
        draws = [0] * len(cone.system.clocks)
        for index, option in zip(cone.choices, stretch.choices, strict=True):
            choices[index] = option
        for index, value in zip(cone.clocks, stretch.draws, strict=True):
            draws[index] = 0 if value == NO_DRAW else value
        step = Step(tuple(choices), tuple(draws), stretch.ticks)
        last = steps[-1] if steps else None
        if last is not None and (last.choices, last.draws) == (step.choices, step.draws):
            steps[-1] = Step(step.choices, step.draws, last.ticks + step.ticks)
        else:
            steps.append(step)
    return Trace(tuple(steps), None if start is None else state_of(cone, start))


def position_in(part: Cone, state: State) -> Position:
    """Return the part of a state that belongs to a cone."""
    return (
        tuple(state.registers[index] for index in part.registers),
        tuple(state.clocks[index] for index in part.clocks),
    )


def state_of(cone: Cone, at: Position) -> State:
    """Return a state of the cone as one of the whole system: all else has its start value."""
    registers = [register.start for register in cone.system.registers]
    clocks = [clock.start for clock in cone.system.clocks]
    for index, live in zip(cone.registers, at[0], strict=True):
        registers[index] = live
    for index, value in zip(cone.clocks, at[1], strict=True):
        clocks[index] = value
    return State(tuple(registers), tuple(clocks))
