"""`latchwork trial`: how hard a puzzle is."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from verifier.cli.common import settings, sheet
from verifier.cli.goals import read_goal
from verifier.cli.times import Time, TimeType
from verifier.engines.decide import Effort
from verifier.pipeline import cores
from verifier.puzzle.player import Habits
from verifier.puzzle.trial import hold_trial
from verifier.report.record import text_of
from verifier.report.trial import write_trial
from verifier.report.trial_record import trial_record

NO_WAY = 1
UNKNOWN = 3


@dataclass(frozen=True, slots=True)
class Options:
    """The options of one call, by the names of its parameters."""

    file: Path
    goal: str
    within: Time
    every: Time
    holds: Time
    games: int
    walkers: int
    design: str | None
    values: Mapping[str, str]
    effort: float
    memory: int
    jobs: int
    seed: int
    form: str

    def habits(self, tick_ns: int) -> Habits:
        """Return how the player acts, in ticks of a design."""
        within = int(self.within.about(tick_ns))
        return Habits(self.every.about(tick_ns), self.holds.about(tick_ns), within)


@click.command("trial")
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
@click.argument("goal", metavar="GOAL")
@click.option(
    "--within", type=TimeType(), default="5 min", show_default=True, help="How long a game lasts."
)
@click.option(
    "--every",
    type=TimeType(),
    default="2 s",
    show_default=True,
    help="The time between two acts of a player, on average.",
)
@click.option(
    "--holds",
    type=TimeType(),
    default="500 ms",
    show_default=True,
    help="The time after which a press is let go, on average.",
)
@click.option(
    "--games",
    type=click.IntRange(min=1, max=1_000_000),
    default=2000,
    show_default=True,
    metavar="N",
    help="How many games are played.",
)
@click.option(
    "--walkers",
    type=click.IntRange(min=1, max=16),
    default=1,
    metavar="N",
    help="Each walker N times, all in the same room at first.",
)
@click.option("--design", metavar="NAME", help="Which design, if the file holds several.")
@click.option(
    "--set",
    "values",
    multiple=True,
    callback=settings,
    metavar="NAME=VALUE",
    help="Give a setting or parameter another value; repeatable.",
)
@click.option(
    "--effort",
    type=click.FloatRange(min=0, min_open=True),
    default=Effort().seconds,
    show_default=True,
    metavar="SECONDS",
    help="How hard to try to find the shortest ways.",
)
@click.option(
    "--memory",
    type=click.IntRange(min=256),
    default=Effort().memory,
    show_default=True,
    metavar="MB",
    help="How much memory each process may take.",
)
@click.option(
    "--jobs",
    type=click.IntRange(min=0, max=1024),
    default=0,
    metavar="N",
    help="How many processes play side by side; as many as there are cores unless given.",
)
@click.option("--seed", type=click.IntRange(min=0), default=0, help="Start of the random games.")
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True
)
@click.pass_context
def command(ctx: click.Context, /, **given: Any) -> int:  # noqa: ANN401 - click's, read by Options
    """Say how hard it is to reach GOAL in the design in FILE.

    The shortest ways, the size of the space, and how often a player gets through in time who acts
    at random. The same seed gives the same games, on any number of cores.

    Exit status: 0 if there is a way, 1 if there is none, 3 if none was found, 2 for a mistake in
    the file or in the call.
    """
    options = Options(**given)
    goal = read_goal(
        ctx,
        options.file,
        options.goal,
        design=options.design,
        values=options.values,
        walkers=options.walkers,
    )
    habits = options.habits(goal.system.design.tick_ns)
    effort = Effort(options.effort, options.memory, options.seed)
    found = hold_trial(goal, habits, options.games, effort, options.jobs or cores())
    if options.form == "json":
        click.echo(text_of(trial_record(found)))
    else:
        write_trial(sheet(), found)
    if found.quickest.none:
        return NO_WAY
    return 0 if found.quickest.route is not None else UNKNOWN
