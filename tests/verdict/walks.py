"""Runs of small random systems, tick by tick, worked out without the simulator."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from random import Random

from tests.engines.zones.oracle import afterwards, all_choices, holds
from verifier.system.model import System
from verifier.system.state import State, Step, start_of


@dataclass(slots=True)
class Walk:
    """`states[i]` is the state before step i; one more stands at the end."""

    states: list[State]
    steps: list[Step] = field(default_factory=list)


def draws(system: System, at: State, choices: Sequence[int], after: State) -> tuple[int, ...]:
    """Return what was drawn between two states: 0 where nothing was."""
    row = []
    for clock, shows in zip(system.clocks, after.clocks, strict=True):
        taken = next((one for one in clock.loads if holds(one.when, at, tuple(choices))), None)
        row.append(shows if taken is not None and taken.low != taken.high else 0)
    return tuple(row)


def walk(system: System, ticks: int, rng: Random, start: State | None = None) -> Walk:
    """Return an allowed run at random, shorter where it cannot go on."""
    done = Walk([start_of(system) if start is None else start])
    every = list(all_choices(system))
    for _ in range(ticks):
        at = done.states[-1]
        fine = [one for one in every if holds(system.allowed, at, one)]
        if not fine:
            break
        # As before, as a rule: then steps of more than one tick come up.
        last = done.steps[-1].choices if done.steps else fine[0]
        choices = last if last in fine and rng.random() < 0.6 else rng.choice(fine)
        after = rng.choice(list(afterwards(system, at, choices)))
        done.steps.append(Step(choices, draws(system, at, choices, after), 1))
        done.states.append(after)
    return done


def joined(steps: Sequence[Step]) -> tuple[Step, ...]:
    """Return the steps with equal ones put together."""
    found: list[Step] = []
    for step in steps:
        last = found[-1] if found else None
        if last is not None and (last.choices, last.draws) == (step.choices, step.draws):
            found[-1] = Step(step.choices, step.draws, last.ticks + step.ticks)
        else:
            found.append(step)
    return tuple(found)
