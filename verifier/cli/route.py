"""`latchwork route`: the way through a puzzle, step by step."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from verifier.cli import takes
from verifier.cli.common import sheet
from verifier.cli.goals import GOAL, MEMORY, NO, UNKNOWN, WALKERS, Wish, draw, free_cores, read_goal
from verifier.puzzle.route import find_route
from verifier.puzzle.space_paths import Order
from verifier.report.record import text_of
from verifier.report.route import told, write_route
from verifier.report.route_record import route_record


@dataclass(frozen=True, slots=True)
class Options(Wish):
    """The options of one call, by the names of its parameters."""

    fewest: bool
    listed: int | None
    svg: Path | None


@click.command("route")
@GOAL
@click.option("--fewest", is_flag=True, help="The fewest moves rather than the least time.")
@click.option(
    "--all",
    "listed",
    type=click.IntRange(min=1),
    metavar="N",
    help="Count the different ways that are as short, and list up to N of them.",
)
@WALKERS
@takes.DESIGN
@takes.SET
@takes.effort("How hard to try.")
@MEMORY
@takes.seed()
@takes.FORM
@takes.written("--svg", "Also write the time diagram to a file, as SVG.")
@click.pass_context
def command(ctx: click.Context, /, **given: Any) -> int:  # noqa: ANN401 - click's, read by Options
    """Find the quickest way to GOAL in the design in FILE.

    GOAL is the name of a claim that something is possible, or a condition such as
    'guest is in vault'. A move is a press, or a walker's setting out.

    Exit status: 0 if there is a way, 1 if there is none, 3 if none was found, 2 for a mistake in
    the file or in the call.
    """
    options = Options(**given)
    goal = read_goal(ctx, options)
    order = Order.MOVES if options.fewest else Order.TIME
    found = find_route(goal, order, options.hard(), listed=options.listed or 0, cores=free_cores())
    if options.form == "json":
        click.echo(text_of(route_record(found)))
    else:
        write_route(sheet(), found)
    if options.svg is not None:
        history = None if found.route is None else told(found, found.route).history
        draw(ctx, options.svg, history, goal.system.design.name, "no way was found")
    if found.route is not None:
        return 0
    return NO if found.none else UNKNOWN
