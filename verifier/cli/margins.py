"""`latchwork margins`: how far each setting, and all spans at once, may drift."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from verifier.cli import takes
from verifier.cli.common import at_work, sheet
from verifier.cli.turning import SHARED, rig, wanted
from verifier.design.model import Design
from verifier.report.leeway import write_margins
from verifier.report.leeway_record import margins_record
from verifier.report.record import text_of
from verifier.tuning.dials_rig import Rig
from verifier.tuning.margins import Margins, margins
from verifier.verdict.answer import Verdict

NONE = 1
UNKNOWN = 3


@dataclass(frozen=True, slots=True)
class Options:
    """The options of one call, by the names of its parameters."""

    file: Path
    design: str | None
    claims: tuple[str, ...]
    left_out: tuple[str, ...]
    turned: Mapping[str, tuple[str, str]]
    values: Mapping[str, str]
    effort: float
    calls: int
    form: str


@click.command("margins")
@SHARED
@takes.calls("How many answers may be asked for, for each claim and direction.", 150)
@takes.FORM
@click.pass_context
def command(ctx: click.Context, /, **given: Any) -> int:  # noqa: ANN401 - click's, read by Options
    """Say how far each setting of the design in FILE may drift before a claim fails.

    For each setting the whole interval round its value, all values of it proved, and a run that
    breaks a claim at the first value outside; then the largest tolerance of all spans at once.
    Claims that fail as the design stands are left out.

    Exit status: 0 if each end is known, 1 if no claim holds as it stands, 3 if an end is not known,
    2 for a mistake in the file or in the call.
    """
    options = Options(**given)
    made, design = rig(
        ctx,
        options.file,
        design=options.design,
        values=options.values,
        turned=options.turned,
        effort=options.effort,
        every=True,
    )
    _stands_inside(ctx, made, design)
    claims = wanted(ctx, made, options.claims, options.left_out)
    with at_work(design.name) as progress:
        found = margins(
            made, claims, options.calls, lambda calls: progress(f"{calls} answers so far")
        )
    if options.form == "json":
        click.echo(text_of(margins_record(made, found, design)))
    else:
        write_margins(sheet(), made, found, design.tick_ns)
    if not found.claims:
        return NONE
    return 0 if _known(found) else UNKNOWN


def _stands_inside(ctx: click.Context, made: Rig, design: Design) -> None:
    """Leave with status 2 where a setting stands outside the range in which it is turned."""
    for dial in made.dials:
        if not dial.inside:
            now, low, high = (
                dial.text(value, design.tick_ns) for value in (dial.now, dial.low, dial.high)
            )
            words = (
                f"{dial.name} stands at {now}, outside {low} .. {high}: margins tell how far it "
                "may drift from where it stands, so the range must hold that (--turn gives another)"
            )
            raise click.UsageError(words, ctx)


def _known(found: Margins) -> bool:
    edges = [side.edge for room in found.rooms for side in (room.low, room.high)]
    edges.append(None if found.slack is None else found.slack.edge)
    return all(edge is None or edge.outcome.verdict is Verdict.FAILS for edge in edges)
