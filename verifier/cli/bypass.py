"""`latchwork bypass`: what a goal can be reached without."""

from typing import Any

import click

from verifier.cli import takes
from verifier.cli.common import sheet
from verifier.cli.goals import GOAL, MEMORY, NO, UNKNOWN, WALKERS, Wish, free_cores, read_goal
from verifier.puzzle.bypass import bypass
from verifier.report.bypass import write_bypass
from verifier.report.bypass_record import bypass_record
from verifier.report.record import text_of
from verifier.verdict.answer import Verdict


@click.command("bypass")
@GOAL
@WALKERS
@takes.DESIGN
@takes.SET
@takes.effort("How hard to try each question.")
@MEMORY
@takes.seed()
@takes.FORM
@click.pass_context
def command(ctx: click.Context, /, **given: Any) -> int:  # noqa: ANN401 - click's, read by Wish
    """Tell what GOAL can be reached without, in the design in FILE.

    For each lever, plate, room, passage and part: is there a way on which nobody ever uses it? Then
    the order in which every way uses what is needed, and the smallest sets that are enough. GOAL is
    the name of a claim that something is possible, or a condition such as 'guest is in vault'.

    Exit status: 0 if all is answered, 1 if the goal can't be reached at all, 3 if something is
    unknown, 2 for a mistake in the file or in the call.
    """
    wish = Wish(**given)
    goal = read_goal(ctx, wish)
    found = bypass(goal, wish.hard(), free_cores())
    if wish.form == "json":
        click.echo(text_of(bypass_record(found)))
    else:
        write_bypass(sheet(), found)
    if not found.ways:
        return NO if found.quickest.outcome.verdict is Verdict.FAILS else UNKNOWN
    return UNKNOWN if any(row.needed is None for row in found.rows) else 0
