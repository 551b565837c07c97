"""`latchwork trial`: how hard a puzzle is."""

from dataclasses import dataclass
from typing import Any

import click

from verifier.cli import takes
from verifier.cli.common import sheet
from verifier.cli.goals import GOAL, NO, UNKNOWN, WALKERS, Wish, read_goal
from verifier.cli.times import Time, TimeType
from verifier.pipeline import cores
from verifier.puzzle.player import Habits
from verifier.puzzle.trial import hold_trial
from verifier.report.record import text_of
from verifier.report.trial import write_trial
from verifier.report.trial_record import trial_record


@dataclass(frozen=True, slots=True)
class Options(Wish):
    """The options of one call, by the names of its parameters."""

    within: Time
    every: Time
    holds: Time
    games: int
    jobs: int

    def habits(self, tick_ns: int) -> Habits:
        """Return how the player acts, in ticks of a design."""
        within = int(self.within.about(tick_ns))
        return Habits(self.every.about(tick_ns), self.holds.about(tick_ns), within)


@click.command("trial")
@GOAL
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
@WALKERS
@takes.DESIGN
@takes.SET
@takes.effort("How hard to try to find the shortest ways.")
@takes.memory("How much memory each process may take.")
@takes.jobs("How many processes play side by side")
@takes.seed("Start of the random games.")
@takes.FORM
@click.pass_context
def command(ctx: click.Context, /, **given: Any) -> int:  # noqa: ANN401 - click's, read by Options
    """Say how hard it is to reach GOAL in the design in FILE.

    The shortest ways, the size of the space, and how often a player gets through in time who acts
    at random. The same seed gives the same games, on any number of cores.

    Exit status: 0 if there is a way, 1 if there is none, 3 if none was found, 2 for a mistake in
    the file or in the call.
    """
    options = Options(**given)
    goal = read_goal(ctx, options)
    habits = options.habits(goal.system.design.tick_ns)
    found = hold_trial(goal, habits, options.games, options.hard(), options.jobs or cores())
    if options.form == "json":
        click.echo(text_of(trial_record(found)))
    else:
        write_trial(sheet(), found)
    if found.quickest.none:
        return NO
    return 0 if found.quickest.route is not None else UNKNOWN
