"""How near random runs come to what a claim allows, read from the claim's own clock.

The claim is asked with a bound far beyond what it states, so that its clock never runs out. A clock
loaded with `far` that shows c when the claim asks tells that far - c ticks have gone by, and so
which bounds this very run would have broken.
"""

import random
from dataclasses import dataclass, field

from verifier.design.bounds import Bound
from verifier.engines.contract import Budget
from verifier.engines.walk import Temper, Walker, upto
from verifier.simulate.machine import closed, machine
from verifier.simulate.presses import Stretch, trace_of
from verifier.system.cone import cone
from verifier.system.expr import Node, Op, Pool, reachable
from verifier.system.fold import replaced
from verifier.system.model import Cone, Question, System
from verifier.verdict.trace import Trace

JUMPS = 480
"""Jumps of one random run."""

FEW = 6
"""So many jumps at most, and patient people leave things alone: where waiting has no end, that
mostly is how."""

STILL = Temper((), act=0.0, together=0.0, release=0.0, whole=1.0, single=0.0)


@dataclass(slots=True, eq=False)
class Gauge:
    """Random runs of one claim, and the hardest case met so far.

    `broken` is the bound nearest to what always holds that a run was seen to break; `run` is that
    run, up to the tick in which it does. Both are for others to check. `patient`: in every other
    run people soon leave things alone.
    """

    part: Cone
    walker: Walker
    clock: int  # by place in the cone
    bound: Bound
    far: int
    patient: bool
    broken: int | None = None
    run: Trace | None = None
    _runs: int = field(default=0)

    def look(self, budget: Budget) -> bool:
        """Make random runs until the budget is spent; return whether a harder case was met."""
        before, only = self.broken, closed(self.part)
        while not (budget.spent() or self.broken == self.far or (only and self._runs)):
            self._once(budget)
            self._runs += 1
        return self.broken != before

    def _once(self, budget: Budget) -> None:
        follower = self.walker.machine
        temper, acts = Temper.drawn(self.walker.dice, follower.places), JUMPS
        if self.patient and self._runs & 1:
            acts = upto(self.walker.dice, FEW)
        at, choices = follower.start(), follower.rest()
        done: list[Stretch] = []
        tick = 0
        for jump in range(JUMPS):
            if jump == acts:
                temper = STILL
            step = self.walker.step(at, choices, temper, 16 if jump else 4)
            budget.use(follower.effort * 2)
            if step is None or (jump & 15 == 0 and budget.spent()):
                return
            choices, look = step
            draws = follower.fitted(look, self.walker.wishes())
            ticks = self.walker.ticks(at, look, draws, temper)
            if look.seen[0]:
                self._note(at[1][self.clock], done, Stretch(ticks, choices, draws))
            done.append(Stretch(ticks, choices, draws))
            at = follower.after(at, look, draws, ticks)
            tick += ticks
            if tick > self.far:
                return

    def _note(self, shows: int, done: list[Stretch], last: Stretch) -> None:
        """Look at the ticks of a jump, in all of which the claim asks its clock."""
        if self.bound.easier > 0:
            broken, ticks = self.far - max(0, shows - last.ticks + 1), last.ticks
        else:
            broken, ticks = self.far - shows + 1, 1
        harder = self.broken is None or (broken - self.broken) * self.bound.easier > 0
        if harder and 0 < broken <= self.far:
            self.broken = broken
            end = Stretch(ticks, last.choices, last.draws)
            self.run = trace_of(self.part, [*done, end])


def gauge(
    system: System, question: Question, bound: Bound, far: int, seed: int, *, patient: bool
) -> Gauge | None:
    """Return random runs of a claim whose bound is `far`; None where no single clock tells it."""
    own = _own_clock(system, question.bad)
    if own is None or question.anywhere:
        return None
    asks = _asked(system.pool, question.bad, own, shown=bound.easier < 0)
    part = cone(system, [question.bad])
    return Gauge(
        part,
        Walker(
            machine=machine(part, (asks, system.allowed)),
            dice=random.Random(seed * 53 + 11),  # noqa: S311 - nothing secret here
            horizon=None,
        ),
        part.clocks.index(own),
        bound,
        far,
        patient,
    )


def _own_clock(system: System, bad: Node) -> int | None:
    """Return the one clock of the claim that says when it is broken."""
    read = {node.data[0] for node in reachable([bad]) if node.op is Op.ABOVE}
    own = [index for index in read if not system.clocks[index].kept]
    return own[0] if len(own) == 1 else None


def _asked(pool: Pool, bad: Node, clock: int, *, shown: bool) -> Node:
    """Return where the claim asks its clock: `bad`, whatever the clock shows."""

    def leaf(node: Node) -> Node:
        of_clock = node.op is Op.ABOVE and node.data[0] == clock
        return pool.const(shown) if of_clock else node

    return replaced(pool, [bad], leaf)[bad.number]
