"""What the commands about puzzles share: a file, what is to be reached in it, and how to look."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import click

from verifier.cli import takes
from verifier.cli.common import tell
from verifier.cli.designs import the_block
from verifier.cli.output import save
from verifier.design.resolve import Wishes
from verifier.engines.crew import FORKS, Cores
from verifier.engines.decide import Effort
from verifier.pipeline import cores, rules_out_all
from verifier.puzzle.goal import Goal, goal_of
from verifier.report.history import History
from verifier.source.diagnostic import Collector

NO = 1
"""There is no way; someone can get stuck."""

UNKNOWN = 3


@dataclass(frozen=True, slots=True)
class Wish:
    """What each of the commands is told, by the names of its parameters."""

    file: Path
    goal: str
    walkers: int
    design: str | None
    values: Mapping[str, str]
    effort: float
    memory: int
    seed: int
    form: str

    def hard(self) -> Effort:
        """Return how hard to try."""
        return Effort(self.effort, self.memory, self.seed)


GOAL = takes.together(
    takes.FILE,
    click.argument("goal", metavar="GOAL"),
)
WALKERS = click.option(
    "--walkers",
    type=click.IntRange(min=1, max=16),
    default=1,
    metavar="N",
    help="Each walker N times, all in the same room at first.",
)
MEMORY = takes.memory("How much memory it may take.")


def free_cores() -> Cores | None:
    """Return the cores that may be used, None where work cannot be shared out."""
    return Cores(cores()) if FORKS else None


def read_goal(ctx: click.Context, wish: Wish) -> Goal:
    """Return the goal; leaves with status 2 where anything is wrong with the file or the words.

    Raises:
        click.UsageError: The file holds several designs and none of them is named, or no walker.
    """
    unit, block = the_block(ctx, wish.file, wish.design)
    collector, wishes = Collector(), Wishes(wish.values)
    goal = goal_of(block, unit, wish.goal, collector, wishes, walkers=wish.walkers)
    impossible = None if goal is None else rules_out_all(goal.system)
    if impossible is not None:
        collector.add(impossible)
    tell(collector)
    if goal is None:
        raise AssertionError("a goal is missing and nothing was told of it")
    if wish.walkers > 1 and not goal.system.design.walkers:
        raise click.UsageError("--walkers: nobody walks in this design", ctx)
    return goal


def draw(ctx: click.Context, path: Path, history: History | None, name: str, what: str) -> None:
    """Write the time diagram of a run to a file.

    Raises:
        click.UsageError: There is no such run, or the file cannot be written.
    """
    from verifier.report.drawing.timeline import timeline

    if history is None:
        raise click.UsageError(f"--svg: {what} that could be drawn", ctx)
    save(ctx, path, timeline(history, name))
