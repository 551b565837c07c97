"""`latchwork stuck`: whether people can come to where a goal is out of reach."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from verifier.cli.common import settings, sheet
from verifier.cli.goals import read_goal
from verifier.cli.output import save
from verifier.engines.crew import FORKS, Cores
from verifier.engines.decide import Effort
from verifier.pipeline import cores
from verifier.puzzle.stuck import Stuck, find_stuck
from verifier.report.record import text_of
from verifier.report.stuck import told, write_stuck
from verifier.report.stuck_record import stuck_record
from verifier.verdict.answer import Verdict

STUCK = 1
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
    svg: Path | None


@click.command("stuck")
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
    help="How hard to try.",
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
@click.option(
    "--svg",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Also write the time diagram of the way into it to a file, as SVG.",
)
@click.pass_context
def command(ctx: click.Context, /, **given: Any) -> int:  # noqa: ANN401 - click's, read by Options
    """Find out whether people can get stuck in the design in FILE: with GOAL out of reach for good.

    If so: the soonest way into it, the last moment at which the goal could still be reached, what
    holds it, and every act by which it is lost. GOAL is the name of a claim that something is
    possible, or a condition such as 'guest is in vault'.

    Exit status: 0 if nobody can get stuck, 1 if someone can, 3 if that is unknown, 2 for a mistake
    in the file or in the call.
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
    found = find_stuck(goal, effort, Cores(cores()) if FORKS else None)
    if options.svg is not None:
        _draw(ctx, options.svg, found)
    if options.form == "json":
        click.echo(text_of(stuck_record(found)))
    else:
        write_stuck(sheet(), found)
    match found.outcome.verdict:
        case Verdict.HOLDS:
            return 0
        case Verdict.FAILS:
            return STUCK
        case Verdict.UNKNOWN:
            return UNKNOWN


def _draw(ctx: click.Context, path: Path, found: Stuck) -> None:
    from verifier.report.drawing.timeline import timeline

    if found.trap is None:
        raise click.UsageError("--svg: there is no way into a dead end that could be drawn", ctx)
    history = told(found, found.trap).history
    save(ctx, path, timeline(history, found.goal.system.design.name))
