"""States that a system really comes to, by random runs: what is false in one is not always true."""

import random

from verifier.engines.contract import Budget, Task
from verifier.engines.walk import Temper, Walker
from verifier.simulate.machine import Position, machine

RUN = 40
"""Jumps of one random run."""

BARREN = 8
"""So many runs in a row that show nothing new are enough."""


def samples(task: Task, budget: Budget, most: int) -> list[Position]:
    """Return up to `most` different states, start first, by place in the cone.

    Of a jump, the states after its first tick, before its last one and after it are taken: between
    those nothing changes but clocks that count down. Runs begin at the start values, also where the
    question asks about any. Returns nothing where a run meets the target.
    """
    follower = machine(task.cone, (task.target, task.cone.system.allowed))
    dice = random.Random(task.seed * 131 + 7)  # noqa: S311 - nothing secret here
    walker = Walker(follower, dice, horizon=None)
    found: dict[Position, None] = {follower.start(): None}
    barren = 0
    while len(found) < most and barren < BARREN and not budget.spent():
        known = len(found)
        if _meets(walker, found, budget):
            return []
        barren = 0 if len(found) > known else barren + 1
    return list(found)[:most]


def _meets(walker: Walker, found: dict[Position, None], budget: Budget) -> bool:
    """Make one run and note its states; return whether it meets the target."""
    follower = walker.machine
    at, choices = follower.start(), follower.rest()
    temper = Temper.drawn(walker.dice, follower.places)
    for jump in range(RUN):
        step = walker.step(at, choices, temper, 16 if jump else 4)
        budget.use(follower.effort * 4)
        if step is None:
            return False
        choices, look = step
        if look.seen[0]:
            return True
        draws = follower.fitted(look, walker.wishes())
        ticks = walker.ticks(at, look, draws, temper)
        for part in {1, max(1, ticks - 1), ticks}:
            found[follower.after(at, look, draws, part)] = None
        at = follower.after(at, look, draws, ticks)
    return False
