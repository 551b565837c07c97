"""A player who acts at random: how often one gets through, by playing many times.

Between two acts goes a number of ticks drawn from a geometric distribution, so at each tick it is
as likely as at any other that something is done. An act is drawn from those that make a difference
at that moment, each as likely as any other: a press of something to one of its options, or a
walker's step through an exit that is open; none after which every run would break an assumption,
for that would be a move against the rules. A press is let go after a geometric number of ticks.
Spans from ranges are drawn evenly.
"""

from dataclasses import dataclass, field
from math import ceil, log, sqrt
from random import Random

from verifier.puzzle.goal import Goal
from verifier.simulate.machine import COUNTS, NO_DRAW, Look, Machine, Position, machine
from verifier.simulate.onward import Way, way_on
from verifier.simulate.presses import state_of
from verifier.system.cone import cone

Choices = tuple[int, ...]
View = tuple[tuple[bool, ...], tuple[int, ...], Choices]
"""All that a tick hangs on: registers, how many thresholds each clock is above, choices."""

NORMAL_95 = 1.959963984540054
"""The two-sided 95 % point of the normal distribution (any table of it)."""

FEW_VIEWS = 50_000


@dataclass(frozen=True, slots=True)
class Habits:
    """How a player acts, in ticks: mean ticks between acts, mean ticks of a press, and the end."""

    every: float
    holds: float
    within: int


@dataclass(frozen=True, slots=True)
class Games:
    """What came of so many games: the ticks after which the goal was met in those that did."""

    played: int
    met: tuple[int, ...]


def interval(met: int, played: int) -> tuple[float, float]:
    """Return the 95 % interval of a share (E. B. Wilson, JASA 22, 1927)."""
    share, z = met / played, NORMAL_95
    middle = share + z * z / (2 * played)
    half = z * sqrt(share * (1 - share) / played + z * z / (4 * played * played))
    whole = 1 + z * z / played
    low = 0.0 if met == 0 else (middle - half) / whole
    return low, 1.0 if met == played else (middle + half) / whole


def play(goal: Goal, habits: Habits, games: int, luck: str) -> Games:
    """Play so many games; the same `luck` gives the same ones."""
    player = Player(goal, habits, Random(luck))  # noqa: S311 - nothing secret here
    ends = [player.game() for _ in range(games)]
    return Games(games, tuple(end for end in ends if end is not None))


@dataclass(slots=True, eq=False)
class Player:
    """Plays games of one goal."""

    goal: Goal
    habits: Habits
    dice: Random
    machine: Machine = field(init=False)
    _presses: list[bool] = field(init=False)
    _ranged: bool = field(init=False)
    _no_draws: tuple[int, ...] = field(init=False)
    _looks: dict[View, Look] = field(default_factory=dict)
    _acts: dict[View, list[Choices]] = field(default_factory=dict)
    _lives: dict[Position, bool] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Make the goal's part of the design ready to run."""
        system = self.goal.system
        part = cone(system, [self.goal.node])
        self.machine = machine(part, (self.goal.node, system.allowed))
        self._ranged = any(clock.ranged for clock in self.machine.clocks)
        self._no_draws = (NO_DRAW,) * len(self.machine.clocks)
        self._presses = [system.choices[index].is_press for index in part.choices]

    def game(self) -> int | None:
        """Return the tick at which the goal was met in a game, None if it was not in time."""
        at, choices, tick = self.machine.start(), self.machine.rest(), 0
        act_at = self._gap(self.habits.every) - 1
        let_go: dict[int, int] = {}
        while tick <= self.habits.within:
            choices = self._let_go(choices, let_go, tick)
            if tick == act_at:
                choices = self._act(at, choices, let_go, tick)
                act_at += self._gap(self.habits.every)
            look = self._look(at, choices)
            if not look.seen[1]:
                return None
            if look.seen[0]:
                return tick
            draws = self._draws(look)
            limits = [act_at - tick, *(one - tick for one in let_go.values())]
            most = self.machine.longest_jump(at, look, draws)
            ticks = min([*limits, self.habits.within + 1 - tick, most or limits[0]])
            at = self.machine.after(at, look, draws, ticks)
            tick += ticks
        return None

    def _gap(self, mean: float) -> int:
        """Draw a number of ticks, 1 or more, geometric with so many on average."""
        if mean <= 1:
            return 1
        return max(1, ceil(log(1 - self.dice.random()) / log(1 - 1 / mean)))

    def _let_go(self, choices: Choices, let_go: dict[int, int], tick: int) -> Choices:
        """Return the choices after all whose time is over were let go."""
        over = [place for place, end in let_go.items() if end <= tick]
        for place in over:
            del let_go[place]
        if not over:
            return choices
        return tuple(0 if place in over else one for place, one in enumerate(choices))

    def _act(self, at: Position, choices: Choices, let_go: dict[int, int], tick: int) -> Choices:
        """Return the choices with one more act, and note when it is over."""
        acts = self._possible(at, choices)
        if not acts:
            return choices
        chosen = self.dice.choice(acts)
        place = next(n for n, one in enumerate(chosen) if one != choices[n])
        held = self._gap(self.habits.holds) if self._presses[place] else 1
        let_go[place] = tick + held
        return chosen

    def _possible(self, at: Position, choices: Choices) -> list[Choices]:
        """Return the acts that make a difference here and are allowed."""
        view = self._view(at, choices)
        if view not in self._acts:
            plain = self._look(at, choices)
            acts = [
                (*choices[:place], option, *choices[place + 1 :])
                for place, count in enumerate(self.machine.options)
                for option in range(1, count)
                if option != choices[place]
            ]
            looks = [(one, self._look(at, one)) for one in acts]
            self._trim()
            self._acts[view] = [
                one for one, look in looks if look != plain and self._by_the_rules(at, look)
            ]
        return self._acts[view]

    def _by_the_rules(self, at: Position, look: Look) -> bool:
        """Say whether an act is allowed, and a run may go on for ever after it."""
        system = self.goal.system
        if not look.seen[1] or not system.design.assumptions:
            return look.seen[1]
        after = self.machine.after(at, look, self._draws(look), 1)
        if after not in self._lives:
            way, _ = way_on(system, state_of(self.machine.cone, after))
            self._lives[after] = way is not Way.NONE
        return self._lives[after]

    def _look(self, at: Position, choices: Choices) -> Look:
        view = self._view(at, choices)
        found = self._looks.get(view)
        if found is None:
            found = self._looks[view] = self.machine.look(*at, choices)
        return found

    def _view(self, at: Position, choices: Choices) -> View:
        levels = tuple(map(self.machine.level, range(len(at[1])), at[1]))
        return at[0], levels, choices

    def _trim(self) -> None:
        """Forget what was seen when it becomes too much."""
        if len(self._looks) > FEW_VIEWS:
            self._looks.clear()
            self._acts.clear()

    def _draws(self, look: Look) -> tuple[int, ...]:
        if not self._ranged:
            return self._no_draws
        wished = [0] * len(look.loads)
        for place, load in enumerate(look.loads):
            if load != COUNTS:
                taken = self.machine.clocks[place].loads[load]
                if taken.low != taken.high:
                    wished[place] = self.dice.randint(taken.low, taken.high)
        return self.machine.fitted(look, wished)
