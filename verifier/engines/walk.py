"""Random runs by jumps: most false claims fall to them within hundredths of a second.

Each run has a temper of its own: how often people act, how long they hold, whether they press
together. What is found is made short by `verifier.simulate.shrink`.
"""

import random
from collections.abc import Callable
from dataclasses import dataclass, field

from verifier.engines.contract import Asked, Budget, Task
from verifier.engines.rest import scenes
from verifier.simulate.machine import Look, Machine, Position, machine
from verifier.simulate.presses import Stretch, position_in, trace_of
from verifier.simulate.shrink import shrink
from verifier.system.starts import Starts
from verifier.verdict.evidence import Evidence, Reaches, Stopped, Why

RESTLESS = 8
"""With no more choices than this, each is first touched alone, without rest."""

SLOW = 0.001
"""Nominal seconds of a look from which on the budget is asked after each jump, not each 16th."""

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
        dice = random.Random(task.seed * 97 + self.luck)  # noqa: S311 - nothing secret here
        # Who rests is told by what never changes from the start values on.
        parts = [task] if task.question.anywhere else scenes(task, budget)
        watched = [(part.target, part.cone.system.allowed) for part in parts]
        walkers = [
            Walker(machine(part.cone, nodes), dice, task.horizon)
            for part, nodes in zip(parts, watched, strict=True)
        ]
        search = budget.slice(budget.left() * (1 - self.share))
        begin = Beginnings(task, dice)
        runs = 0
        found, walker, start = None, walkers[0], None
        while found is None and not search.spent():
            walker = walkers[runs % len(walkers)]
            temper = self._temper(dice, walker.machine.places, runs // len(walkers))
            start = begin.next()
            found = walker.once(self.jumps, search, temper, start)
            runs += 1
        budget.use(search.used)
        if found is None:
            return Stopped(Why.NOTHING, f"{runs} random runs met nothing")
        kept = budget.slice(budget.effort * self.share)
        short = shrink(walker.machine, found, start or walker.machine.start(), payer(kept))
        budget.use(kept.used)
        return Reaches(trace_of(walker.machine.cone, short, start))

    def _temper(self, dice: random.Random, among: tuple[int, ...], run: int) -> "Temper":
        """Return how people behave in a run: first all act at once, then restlessly one by one."""
        if run == 0:
            return Temper(among, 0.0, 0.0, 0.0, whole=1.0, single=0.0, rush=True)
        if self.luck and run // 2 < len(among) <= RESTLESS:
            one = (among[run // 2],)
            return Temper(one, act=1.0, together=0.0, release=0.5, whole=0.9, single=0.1)
        return Temper.drawn(dice, among)


@dataclass(slots=True, eq=False)
class Beginnings:
    """Where random runs begin: with the start values (None), or by chance.

    Asked from anywhere, all but the first begin by chance.
    """

    task: Task
    dice: random.Random
    _starts: Starts | None = None

    def next(self) -> Position | None:
        """Return where the next run begins."""
        if not self.task.question.anywhere:
            return None
        if self._starts is None:
            self._starts = Starts.of(self.task.cone, anywhere=True)
            return None
        state = self._starts.drawn(self.dice)
        return None if state is None else position_in(self.task.cone, state)


def payer(budget: Budget) -> Callable[[float], bool]:
    """Return how a helper without a budget of its own pays: it may go on while it gets yes."""

    def pay(effort: float) -> bool:
        budget.use(effort)
        return not budget.spent()

    return pay


@dataclass(frozen=True, slots=True)
class Temper:
    """How people behave in one run: chances from 0 to 1 at each jump.

    `among` are the choices that are touched, by place: often only one, as many faults need one
    button pressed again and again, and nothing else.
    """

    among: tuple[int, ...]
    act: float
    together: float
    release: float
    whole: float  # to leave a jump its full length
    single: float  # to act again at the next tick
    rush: bool = False  # everyone acts at once at first

    @property
    def leaving(self) -> tuple[float, float, float]:
        """Chances to leave a jump whole, to cut it soon, or else shortly before its end."""
        return self.whole, self.single, self.single

    @classmethod
    def drawn(cls, dice: random.Random, among: tuple[int, ...]) -> "Temper":
        """Return a temper at random, from calm to hectic."""
        return cls(
            among=(dice.choice(among),) if among and dice.random() < FAVOUR else among,
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
    _drawn: tuple[int, ...] = field(init=False)

    def __post_init__(self) -> None:
        """Note how much each clock can be drawn to show; 0 where nothing is drawn."""
        clocks = self.machine.clocks
        self._drawn = tuple(clock.longest if clock.ranged else 0 for clock in clocks)

    def once(
        self, jumps: int, budget: Budget, temper: Temper, start: Position | None = None
    ) -> tuple[Stretch, ...] | None:
        """Make one run; return it up to its first meeting, None if it met nothing.

        `start` is where it begins, None for the start values.
        """
        at = start or self.machine.start()
        choices = self.machine.rest()
        done: list[Stretch] = []
        slow = self.machine.effort > SLOW
        tick = 0
        if temper.rush:
            choices = tuple(int(place in temper.among) for place in range(len(choices)))
        for jump in range(jumps):
            step = self.step(at, choices, temper, 16 if jump else 4)
            budget.use(self.machine.effort * 2)
            if step is None or ((slow or jump & 15 == 0) and budget.spent()):
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
        if not temper.among or self.dice.random() >= temper.act:
            return choices
        changed = list(choices)
        while True:
            index = self.dice.choice(temper.among)
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
        dice = self.dice
        return [
            dice.choice((0, most, upto(dice, most + 1) - 1)) if most else 0 for most in self._drawn
        ]

    def ticks(self, at: Position, look: Look, draws: tuple[int, ...], temper: Temper) -> int:
        """Return how long to leave things as they are.

        The dice are thrown as often whatever comes of it, so that they fall alike at another tick.
        """
        dice = self.dice
        whole, single, late = (dice.random() < chance for chance in temper.leaving)
        few, any_part = upto(dice, 3), dice.random()
        most = self.machine.longest_jump(at, look, draws)
        if most is None:
            most = max([1, *(clock.longest + 1 for clock in self.machine.clocks)])
        if most == 1 or whole:
            return most
        if single:
            return min(most, few)
        return max(1, most - few) if late else 1 + int(any_part * most)


def upto(dice: random.Random, most: int) -> int:
    """Return one of 1 .. `most`, each as likely; the dice are thrown once, whatever `most` is.

    So the same luck is had at a finer tick, where all spans are so many times as many ticks.
    """
    return 1 + int(dice.random() * most)
