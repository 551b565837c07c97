"""`latchwork route`: the way through a puzzle, step by step."""

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
from verifier.puzzle.route import Routed, find_route
from verifier.puzzle.space_paths import Order
from verifier.report.record import text_of
from verifier.report.route import told, write_route
from verifier.report.route_record import route_record

NO_WAY = 1
UNKNOWN = 3


@dataclass(frozen=True, slots=True)
class Options:
    """The options of one call, by the names of its parameters."""

    file: Path
    goal: str
    fewest: bool
    listed: int | None
    walkers: int
    design: str | None
    values: Mapping[str, str]
    effort: float
    memory: int
    seed: int
    form: str
    svg: Path | None


@click.command("route")
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
@click.argument("goal", metavar="GOAL")
@click.option("--fewest", is_flag=True, help="The fewest moves rather than the least time.")
@click.option(
    "--all",
    "listed",
    type=click.IntRange(min=1),
    metavar="N",
    help="Count the different ways that are as short, and list up to N of them.",
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
    help="Also write the time diagram to a file, as SVG.",
)
@click.pass_context
def command(ctx: click.Context, /, **given: Any) -> int:  # noqa: ANN401 - click's, read by Options
    """Find the quickest way to GOAL in the design in FILE.

    GOAL is the name of a claim that something is possible, or a condition such as
    'guest is in vault'. A move is a press, or a walker's setting out.

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
    order = Order.MOVES if options.fewest else Order.TIME
    effort = Effort(options.effort, options.memory, options.seed)
    free = Cores(cores()) if FORKS else None
    found = find_route(goal, order, effort, listed=options.listed or 0, cores=free)
    if options.svg is not None:
        _draw(ctx, options.svg, found)
    if options.form == "json":
        click.echo(text_of(route_record(found)))
    else:
        write_route(sheet(), found)
    if found.route is not None:
        return 0
    return NO_WAY if found.none else UNKNOWN


def _draw(ctx: click.Context, path: Path, found: Routed) -> None:
    from verifier.report.drawing.timeline import timeline

    if found.route is None:
        raise click.UsageError("--svg: no way was found that could be drawn", ctx)
    history = told(found, found.route).history
    save(ctx, path, timeline(history, found.goal.system.design.name))
