"""Walks that go on from where most of a wide condition was right: for locks of many levers.

A run that has half of the levers right by chance is rare, and one that has all of them right all
but impossible. So what comes nearest is kept: for each wide condition of the design and each number
of its parts that held at once, the earliest moment at which so many did. Walks set out from these
moments rather than from the start, and each short walk that brings one part more, or as many
sooner, is kept in its turn.

The idea is that of A. Ecoffet et al., "First return, then explore", Nature 590, 2021.
"""

import random
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from verifier.engines.contract import Asked, Budget, Task
from verifier.engines.rest import scenes
from verifier.engines.walk import Temper, Walker, payer
from verifier.simulate.machine import Look, Position, machine, nodes_of
from verifier.simulate.presses import Stretch, trace_of
from verifier.simulate.shrink import shrink
from verifier.system.expr import Node, Op
from verifier.system.model import Cone
from verifier.verdict.evidence import Evidence, Reaches, Stopped, Why

WIDE = 4
"""A condition with so many parts is wide."""

MOST = 5
"""Wide conditions that are followed: the widest."""

PER_CONDITION = 1e-6
"""Measured: nominal seconds for counting the parts of a condition that are right."""

PER_WALK = 20e-6

TEMPERS = 8
"""So many walks in a row are of one temper."""

STRIDES = (2, 2, 2, 16)
"""Jumps of a walk from a kept moment: mostly few, as a good one is good at once."""


@dataclass(frozen=True, slots=True)
class Moment:
    """A place on the way: tick, state, the choices before it, and the stretches that lead there."""

    tick: int
    at: Position
    choices: tuple[int, ...]
    done: Sequence[Stretch]


@dataclass(frozen=True, slots=True)
class Trails:
    """Short random walks, each from a moment at which much of a wide condition was right."""

    share: float = 0.25
    name: str = "trails"
    description: str = "random presses that go on from where most of a wide condition was right"

    def run(self, task: Task, budget: Budget) -> Evidence | Stopped:
        """Look for a run that meets the target."""
        if task.asked in (Asked.WAITING, Asked.OPEN) or task.question.anywhere:
            return Stopped(Why.NOT_SUITED, "trails begin at the start values, and end")
        parts = scenes(task, budget)
        task = parts[0] if len(parts) == 1 else task
        wide = wide_conditions(task.cone, task.target)
        if not wide:
            return Stopped(Why.NOT_SUITED, "no condition has many parts")
        watched = (task.target, task.cone.system.allowed)
        walker = Walker(
            machine=machine(task.cone, (*watched, *(part for row in wide for part in row))),
            dice=random.Random(task.seed),  # noqa: S311 - nothing secret here
            horizon=task.horizon,
        )
        part = budget.slice(budget.left() * (1 - self.share))
        explorer = _Explorer(walker, [len(row) for row in wide], part)
        found = explorer.run()
        budget.use(part.used)
        if found is None:
            return Stopped(Why.NOTHING, f"{explorer.walks} walks met nothing")
        plain = machine(task.cone, watched)
        short = shrink(plain, found, plain.start(), payer(budget))
        return Reaches(trace_of(task.cone, short))


def wide_conditions(cone: Cone, target: Node) -> list[tuple[Node, ...]]:
    """Return the parts of the widest conditions of a cone: what must hold all at once."""
    rows = []
    for node in nodes_of(cone, [target]):
        if len(node.args) < WIDE:
            continue
        if node.op is Op.AND:
            rows.append(node.args)
        elif node.op is Op.OR:
            rows.append(tuple(map(cone.system.pool.not_, node.args)))
    return sorted(rows, key=len, reverse=True)[:MOST]


@dataclass(slots=True, eq=False)
class _Explorer:
    """Keeps moments, and walks on from them.

    `widths`: how many parts each condition has.
    """

    walker: Walker
    widths: Sequence[int]
    budget: Budget
    walks: int = 0
    acting: Temper = field(init=False)
    resting: Temper = field(init=False)
    kept: list[dict[int, Moment]] = field(default_factory=list)

    def run(self) -> tuple[Stretch, ...] | None:
        """Return a run that meets the target, None where the effort is spent before one does."""
        machine_ = self.walker.machine
        start = Moment(0, machine_.start(), machine_.rest(), ())
        self.kept = [{} for _ in self.widths]
        while not self.budget.spent():
            self.walks += 1
            self.budget.use(PER_WALK)
            found = self._walk(self._choose(start))
            if found is not None:
                return found
        return None

    def _choose(self, start: Moment) -> Moment:
        """Return a moment to set out from: mostly one where most is right, now and then any."""
        dice = self.walker.dice
        [moments] = dice.choices(self.kept, [width * width for width in self.widths])
        if not moments:
            return start
        levels = sorted(moments, reverse=True)
        return moments[levels[min(int(dice.expovariate(0.5)), len(levels) - 1)]]

    def _walk(self, moment: Moment) -> tuple[Stretch, ...] | None:
        walker, machine_ = self.walker, self.walker.machine
        at, choices, tick = moment.at, moment.choices, moment.tick
        done = list(moment.done)
        if self.walks % TEMPERS == 1:
            temper = Temper.drawn(walker.dice, machine_.places)
            self.acting, self.resting = replace(temper, act=1.0), replace(temper, act=0.0)
        acts = walker.dice.choice((0, 1, 1, 2, 4, 24))
        for jump in range(walker.dice.choice(STRIDES)):
            temper = self.acting if jump < acts else self.resting
            step = walker.step(at, choices, temper, 8)
            self.budget.use(machine_.effort * 2 + PER_CONDITION * len(self.widths))
            if step is None or self.budget.spent():
                return None
            self._keep(step[1], Moment(tick, at, choices, done))
            choices, look = step
            draws = machine_.fitted(look, walker.wishes())
            if look.seen[0]:
                return (*done, Stretch(1, choices, draws))
            ticks = 1 if jump < acts - 1 else walker.ticks(at, look, draws, temper)
            tick += ticks
            if walker.horizon is not None and tick > walker.horizon:
                return None
            done.append(Stretch(ticks, choices, draws))
            at = machine_.after(at, look, draws, ticks)
        return None

    def _keep(self, look: Look, moment: Moment) -> None:
        """Keep a moment where a condition has more parts right than ever, or as many as soon."""
        place = 2
        for moments, width in zip(self.kept, self.widths, strict=True):
            right = sum(look.seen[place : place + width])
            place += width
            known = moments.get(right)
            if known is None or moment.tick <= known.tick:
                moments[right] = replace(moment, done=tuple(moment.done))
