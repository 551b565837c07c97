"""`latchwork bypass`: what a goal can be reached without."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from verifier.cli.common import settings, sheet
from verifier.cli.goals import read_goal
from verifier.engines.crew import FORKS, Cores
from verifier.engines.decide import Effort
from verifier.pipeline import cores
from verifier.puzzle.bypass import bypass
from verifier.report.bypass import write_bypass
from verifier.report.bypass_record import bypass_record
from verifier.report.record import text_of
from verifier.verdict.answer import Verdict

NO_WAY = 1
UNKNOWN = 3


@dataclass(frozen=True, slots=True)
class Options:
    """The options of one call, by the names of its parameters."""

    file: Path
    goal: str
    walkers: int
    design: str | None
    values: Mapping[str, str]
    effort: float
    memory: int
    seed: int
    form: str


@click.command("bypass")
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
@click.argument("goal", metavar="GOAL")
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
    help="How hard to try each question.",
)
@click.option(
    "--memory",
    type=click.IntRange(min=256),
    default=Effort().memory,
    show_default=True,
    metavar="MB",
    help="How much memory it may take.",
)
@click.option("--seed", type=click.IntRange(min=0), default=0, help="Start of the random runs.")
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True
)
@click.pass_context
def command(ctx: click.Context, /, **given: Any) -> int:  # noqa: ANN401 - click's, read by Options
    """Tell what GOAL can be reached without, in the design in FILE.

    For each lever, plate, room, passage and part: is there a way on which nobody ever uses it? Then
    the order in which every way uses what is needed, and the smallest sets that are enough. GOAL is
    the name of a claim that something is possible, or a condition such as 'guest is in vault'.

    Exit status: 0 if all is answered, 1 if the goal can't be reached at all, 3 if something is
    unknown, 2 for a mistake in the file or in the call.
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
    effort = Effort(options.effort, options.memory, options.seed)
    found = bypass(goal, effort, Cores(cores()) if FORKS else None)
    if options.form == "json":
        click.echo(text_of(bypass_record(found)))
    else:
        write_bypass(sheet(), found)
    if not found.ways:
        return NO_WAY if found.quickest.outcome.verdict is Verdict.FAILS else UNKNOWN
    return UNKNOWN if any(row.needed is None for row in found.rows) else 0
