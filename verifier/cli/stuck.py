"""`latchwork stuck`: whether people can come to where a goal is out of reach."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from verifier.cli import takes
from verifier.cli.common import sheet
from verifier.cli.goals import GOAL, MEMORY, NO, UNKNOWN, WALKERS, Wish, draw, free_cores, read_goal
from verifier.puzzle.stuck import find_stuck
from verifier.report.record import text_of
from verifier.report.stuck import told, write_stuck
from verifier.report.stuck_record import stuck_record
from verifier.verdict.answer import Verdict


@dataclass(frozen=True, slots=True)
class Options(Wish):
    """The options of one call, by the names of its parameters."""

    svg: Path | None


@click.command("stuck")
@GOAL
@WALKERS
@takes.DESIGN
@takes.SET
@takes.effort("How hard to try.")
@MEMORY
@takes.seed()
@takes.FORM
@takes.written("--svg", "Also write the time diagram of the way into it to a file, as SVG.")
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
    goal = read_goal(ctx, options)
    found = find_stuck(goal, options.hard(), free_cores())
    if options.form == "json":
        click.echo(text_of(stuck_record(found)))
    else:
        write_stuck(sheet(), found)
    if options.svg is not None:
        history = None if found.trap is None else told(found, found.trap).history
        name = goal.system.design.name
        draw(ctx, options.svg, history, name, "there is no way into a dead end")
    match found.outcome.verdict:
        case Verdict.HOLDS:
            return 0
        case Verdict.FAILS:
            return NO
        case Verdict.UNKNOWN:
            return UNKNOWN
