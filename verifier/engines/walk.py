"""Random runs by jumps: most false claims fall to them within hundredths of a second.

Each run has a temper of its own: how often people act, how long they hold, whether they press
together. What is found is made short by `verifier.simulate.shrink`.
"""

import random
from collections.abc import Callable
from dataclasses import dataclass

from verifier.engines.contract import Asked, Budget, Task
from verifier.simulate.machine import Look, Machine, Position, machine
from verifier.simulate.presses import Stretch, trace_of
from verifier.simulate.shrink import shrink
from verifier.verdict.evidence import Evidence, Reaches, Stopped, Why

RESTLESS = 8
"""With no more choices than this, each is first touched alone, without rest."""

FAVOUR = 0.3
"""How often people touch one thing only."""


@dataclass(frozen=True, slots=True)
class Walk:
    """Random runs, then the shortest run like the one found.

    `jumps` bounds a single run; `share` is the part of the effort kept back for making it short;
    another `luck` makes other runs from the same seed.
    """

    jumps: int = 480
    share: float = 0.5
    luck: int = 0
    name: str = "walk"
    description: str = "random presses, then the shortest run like the one found"

    def run(self, task: Task, budget: Budget) -> Evidence | Stopped:
        """Look for a run that meets the target."""
        if task.asked in (Asked.WAITING, Asked.OPEN):
            return Stopped(Why.NOT_SUITED, "random runs are finite")
        if task.question.anywhere:
            return Stopped(Why.NOT_SUITED, "random runs begin at the start values")
        walker = Walker(
            machine=machine(task.cone, (task.target, task.cone.system.allowed)),
            dice=random.Random(task.seed * 97 + self.luck),  # noqa: S311 - nothing secret here
            horizon=task.horizon,
        )
        part = budget.slice(budget.left() * (1 - self.share))
        runs = 0
        found = None
        while found is None and not part.spent():
            found = walker.once(self.jumps, part, self._temper(walker, runs))
            runs += 1
        budget.use(part.used)
        if found is None:
            return Stopped(Why.NOTHING, f"{runs} random runs met nothing")
        short = shrink(walker.machine, found, walker.machine.start(), payer(budget))
        return Reaches(trace_of(task.cone, short))

    def _temper(self, walker: "Walker", run: int) -> "Temper":
        """Return how people behave in a run: first restlessly, one thing after the other."""
        choices = len(walker.machine.options)
        restless = range(choices) if self.luck and choices <= RESTLESS else range(0)
        if run // 2 in restless:
            return Temper(run // 2, act=1.0, together=0.0, release=0.5, whole=0.9, single=0.1)
        return Temper.drawn(walker.dice, choices)


def payer(budget: Budget) -> Callable[[float], bool]:
    """Return how a helper without a budget of its own pays: it may go on while it gets yes."""

    def pay(effort: float) -> bool:
        budget.use(effort)
        return not budget.spent()

    return pay


@dataclass(frozen=True, slots=True)
class Temper:
    """How people behave in one run: chances from 0 to 1 at each jump.

    `favours` names the only choice that is touched, None for all. Many faults need one button
    pressed again and again, and nothing else.
    """

    favours: int | None
    act: float
    together: float
    release: float
    whole: float  # to leave a jump its full length
    single: float  # to act again at the next tick

    @classmethod
    def drawn(cls, dice: random.Random, choices: int) -> "Temper":
        """Return a temper at random, from calm to hectic."""
        return cls(
            favours=dice.randrange(choices) if choices and dice.random() < FAVOUR else None,
            act=dice.choice((0.15, 0.4, 0.7, 1.0)),
            together=dice.choice((0.0, 0.1, 0.5)),
            release=dice.choice((0.2, 0.5, 0.8)),
            whole=dice.choice((0.2, 0.6, 0.9)),
            single=dice.choice((0.1, 0.4, 0.8)),
        )


@dataclass(slots=True, eq=False)
class Walker:
    """Makes random runs of one machine, which watches the target first and `allowed` second."""

    machine: Machine
    dice: random.Random
    horizon: int | None

    def once(self, jumps: int, budget: Budget, temper: Temper) -> tuple[Stretch, ...] | None:
        """Make one run; return it up to its first meeting, None if it met nothing."""
        at = self.machine.start()
        choices = self.machine.rest()
        done: list[Stretch] = []
        tick = 0
        for jump in range(jumps):
            step = self.step(at, choices, temper, 16 if jump else 4)
            budget.use(self.machine.effort * 2)
            if step is None or (jump & 15 == 0 and budget.spent()):
                return None
            choices, look = step
            draws = self.machine.fitted(look, self.wishes())
            if look.seen[0]:
                done.append(Stretch(1, choices, draws))
                return tuple(done)
            ticks = self.ticks(at, look, draws, temper)
            tick += ticks
            if self.horizon is not None and tick > self.horizon:
                return None
            done.append(Stretch(ticks, choices, draws))
            at = self.machine.after(at, look, draws, ticks)
        return None

    def step(
        self, at: Position, choices: tuple[int, ...], temper: Temper, tries: int
    ) -> tuple[tuple[int, ...], Look] | None:
        """Return choices that are allowed here, mostly those of the temper, and what they do."""
        wished = self._changed(choices, temper)
        for attempt in range(tries):
            look = self.machine.look(*at, wished)
            if look.seen[1]:
                return wished, look
            match attempt:
                case 0:
                    wished = choices
                case 1:
                    wished = self.machine.rest()
                case _:
                    wished = self._any()
        return None

    def _changed(self, choices: tuple[int, ...], temper: Temper) -> tuple[int, ...]:
        if not choices or self.dice.random() >= temper.act:
            return choices
        changed = list(choices)
        while True:
            index = temper.favours
            if index is None:
                index = self.dice.randrange(len(changed))
            if changed[index] and self.dice.random() < temper.release:
                changed[index] = 0
            else:
                changed[index] = self.dice.randrange(self.machine.options[index])
            if self.dice.random() >= temper.together:
                return tuple(changed)

    def _any(self) -> tuple[int, ...]:
        return tuple(self.dice.randrange(count) for count in self.machine.options)

    def wishes(self) -> list[int]:
        """Return spans to draw: often an end of the range, where the narrow cases are."""
        wishes = []
        for clock in self.machine.clocks:
            longest = clock.longest if clock.ranged else 0
            ends = (0, longest, self.dice.randint(0, longest))
            wishes.append(self.dice.choice(ends) if clock.ranged else 0)
        return wishes

    def ticks(self, at: Position, look: Look, draws: tuple[int, ...], temper: Temper) -> int:
        """Return how long to leave things as they are."""
        most = self.machine.longest_jump(at, look, draws)
        if most is None:
            most = max([1, *(clock.longest + 1 for clock in self.machine.clocks)])
        if most == 1 or self.dice.random() < temper.whole:
            return most
        if self.dice.random() < temper.single:
            return min(most, self.dice.randint(1, 3))
        return (
            max(1, most - self.dice.randint(1, 3))
            if self.dice.random() < temper.single
            else (self.dice.randint(1, most))
        )
