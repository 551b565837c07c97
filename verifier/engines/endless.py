"""Endless runs that wait in vain: random presses for a while, then nothing changes any more."""

import random
from dataclasses import dataclass

from verifier.engines.contract import Asked, Budget, Task
from verifier.engines.walk import Beginnings, Temper, upto
from verifier.simulate.machine import Machine, Position, machine
from verifier.simulate.presses import Stretch, trace_of
from verifier.verdict.evidence import Circles, Evidence, Stopped, Why
from verifier.verdict.trace import Lasso

LONGEST = 4000
"""Jumps until a state must have come back, once nobody acts any more."""


@dataclass(frozen=True, slots=True)
class Endless:
    """Plays a random beginning, holds what is pressed, or lets go, and waits for a loop."""

    jumps: int = 24
    name: str = "endless runs"
    description: str = "finds runs that wait for ever while nobody acts"

    def run(self, task: Task, budget: Budget) -> Evidence | Stopped:
        """Return an endless run that has the target at every tick of its loop."""
        if task.asked is not Asked.WAITING:
            return Stopped(Why.NOT_SUITED, "made for what must come in the end")
        follower = machine(task.cone, (task.target, task.cone.system.allowed))
        dice = random.Random(task.seed)  # noqa: S311 - nothing secret here
        begin = Beginnings(task, dice)
        tries = 0
        while not budget.spent():
            start = begin.next()
            jumps = 0 if tries == 0 else self.jumps
            found = self._once(follower, dice, jumps, budget, start or follower.start())
            tries += 1
            if found is not None:
                stretches, back_to = found
                return Circles(Lasso(trace_of(task.cone, stretches, start), back_to))
        return Stopped(Why.NOTHING, f"{tries} endless runs all came to it")

    def _once(
        self, follower: Machine, dice: random.Random, jumps: int, budget: Budget, at: Position
    ) -> tuple[list[Stretch], int] | None:
        temper = Temper.drawn(dice, follower.places)
        choices = follower.rest()
        done: list[Stretch] = []
        for _ in range(dice.randint(0, jumps)):
            if choices and dice.random() < temper.act:
                changed = list(choices)
                index = dice.randrange(len(changed))
                changed[index] = dice.randrange(follower.options[index])
                choices = tuple(changed)
            moved = self._jump(follower, at, choices, dice, done)
            if moved is None:
                return None
            at = moved
            budget.use(follower.effort)
        if dice.random() < temper.release:
            choices = follower.rest()
        return self._loop(follower, at, choices, done, budget)

    def _jump(
        self,
        follower: Machine,
        at: Position,
        choices: tuple[int, ...],
        dice: random.Random | None,
        done: list[Stretch],
    ) -> Position | None:
        """Go on by a jump (cut short at random where there are dice); None if not allowed."""
        look = follower.look(*at, choices)
        if not look.seen[1]:
            return None
        draws = follower.fitted(look, [0] * len(follower.clocks))
        most = follower.longest_jump(at, look, draws)
        ticks = 1 + max(at[1], default=0) if most is None else most
        if dice is not None and dice.random() < 0.5:  # noqa: PLR2004 - as often as not
            ticks = upto(dice, ticks)
        done.append(Stretch(ticks, choices, draws))
        return follower.after(at, look, draws, ticks)

    def _loop(
        self,
        follower: Machine,
        at: Position,
        choices: tuple[int, ...],
        done: list[Stretch],
        budget: Budget,
    ) -> tuple[list[Stretch], int] | None:
        """Hold the choices until a state comes back; None if the loop does not wait throughout."""
        seen: dict[Position, int] = {}
        waits: list[bool] = []
        first = len(done)
        for _ in range(LONGEST):
            if at in seen:
                back = seen[at]
                if not all(waits[back:]):
                    return None
                return done, sum(one.ticks for one in done[: first + back])
            seen[at] = len(waits)
            waits.append(follower.look(*at, choices).seen[0])
            moved = self._jump(follower, at, choices, None, done)
            budget.use(follower.effort * 2)
            if moved is None:
                return None
            at = moved
        return None
