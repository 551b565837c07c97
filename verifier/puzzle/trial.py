"""How hard a puzzle is: its shortest ways, the size of its space, and how a random player fares."""

from dataclasses import dataclass
from functools import partial

from verifier.engines.child import Lost
from verifier.engines.contract import Budget
from verifier.engines.crew import FORKS, Cores, Crew
from verifier.engines.decide import Effort
from verifier.puzzle.goal import Goal
from verifier.puzzle.player import Games, Habits, play
from verifier.puzzle.route import EXPLORING, Routed, find_route
from verifier.puzzle.space import Space, TooManyWaysError
from verifier.puzzle.space_paths import Order

TABLES = 16
"""Games are played at so many tables, each with its own luck: any number of cores may serve them,
and what comes out does not hang on how many do."""


@dataclass(frozen=True, slots=True)
class Size:
    """How large the space is: `states`, and `situations`, which are states but for the timers.

    States in the midst of a wait in which no choice makes a difference do not count, nor do those
    that only lead to broken assumptions.
    """

    states: int
    situations: int


@dataclass(frozen=True, slots=True)
class Trial:
    """How hard a goal is; `size` is None where not all states could be counted.

    `games` is None where there is no way, so that none was played.
    """

    goal: Goal
    habits: Habits
    quickest: Routed
    fewest: Routed
    size: Size | None
    games: Games | None


def hold_trial(goal: Goal, habits: Habits, games: int, effort: Effort, jobs: int) -> Trial:
    """Return how hard a goal is, by so many games on so many cores."""
    cores = Cores(jobs) if FORKS else None
    space = _space(goal)
    quickest = find_route(goal, Order.TIME, effort, listed=1, cores=cores, space=space)
    fewest = quickest
    if quickest.route is not None:
        fewest = find_route(goal, Order.MOVES, effort, listed=1, cores=cores, space=space)
    played = None if quickest.none else _played(goal, habits, games, effort, jobs)
    return Trial(goal, habits, quickest, fewest, size_of(space, effort), played)


def _space(goal: Goal) -> Space | None:
    """Return the space of a goal, None where there are too many ways to choose."""
    try:
        return Space(goal.system, goal.node)
    except TooManyWaysError:
        return None


def size_of(space: Space | None, effort: Effort) -> Size | None:
    """Return how many states can come, None where they are too many to be counted."""
    if space is None:
        return None
    budget = Budget.of(EXPLORING * effort.seconds, memory=effort.memory)
    if space.explore(budget) is not None:
        return None
    # Who holds what, the last number of a state, tells people and costs apart, not states.
    dead = space.dead()
    states = {one[:-1] for number, one in enumerate(space.states) if number not in dead}
    registers = space.system.registers
    kept = [place for place, index in enumerate(space.cone.registers) if registers[index].kept]
    return Size(len(states), len({tuple(state[place] for place in kept) for state in states}))


def _played(goal: Goal, habits: Habits, games: int, effort: Effort, jobs: int) -> Games:
    """Play all games, a core a table."""
    works = [
        partial(play, goal, habits, share, f"{effort.seed} {table}")
        for table, share in enumerate(_shares(games))
        if share
    ]
    if FORKS and jobs > 1:
        crew = Crew(Cores(jobs), effort.memory, Games)
        results = list(crew.results(works, range(len(works))))
        # A table whose process was lost is left out: the games of the others count as they are.
        found = [one for one in results if not isinstance(one, Lost)]
    else:
        found = [work() for work in works]
    ends = tuple(tick for one in found for tick in one.met)
    return Games(sum(one.played for one in found), ends)


def _shares(games: int) -> list[int]:
    return [games // TABLES + (table < games % TABLES) for table in range(TABLES)]
