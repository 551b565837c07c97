"""`latchwork rhythm`: in what rhythm a design runs when it is left alone."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from verifier.cli import takes
from verifier.cli.acts import acts_of
from verifier.cli.common import at_work, sheet, tell
from verifier.cli.designs import read, the_one
from verifier.cli.run import listed
from verifier.cli.times import Press
from verifier.engines.decide import Effort
from verifier.pipeline import CheckSettings, answers, lowered, rules_out_all
from verifier.report.record import text_of
from verifier.report.rhythm import write_rhythm
from verifier.report.rhythm_record import rhythm_record
from verifier.simulate.told import NoWayError, played
from verifier.source.diagnostic import Collector
from verifier.system.model import System
from verifier.tuning.rhythm import Rhythm, rhythm_of
from verifier.tuning.rhythm_bounds import AllRuns, asked, told, varying
from verifier.tuning.rhythm_stall import waits_of
from verifier.tuning.units import draws_of
from verifier.verdict.trace import Trace


@dataclass(frozen=True, slots=True)
class Options:
    """The options of one call, by the names of its parameters."""

    file: Path
    design: str | None
    presses: tuple[Press, ...]
    listed: Path | None
    values: Mapping[str, str]
    effort: float
    jobs: int
    form: str


@click.command("rhythm")
@takes.FILE
@takes.DESIGN
@takes.PRESSES
@takes.SET
@takes.effort("How hard to try each bound, where spans vary.", 4.0)
@takes.jobs("How many processes work side by side")
@takes.FORM
@click.pass_context
def command(ctx: click.Context, /, **given: Any) -> int:  # noqa: ANN401 - click's, read by Options
    """Say in what rhythm the design in FILE runs when it is left alone.

    How long until it settles, how long a round is, and when each lamp, door, timer and condition
    is on in it. Where it comes to rest, what waits for what. Presses are written as for `run`;
    after them nobody does anything.

    Where spans vary within a range, the least and most of each stretch are proved.
    """
    options = Options(**given)
    designs, collector = read([options.file], options.values)
    tell(collector)
    design = the_one(ctx, designs, options.design)
    system = lowered(design)
    impossible = rules_out_all(system)
    if impossible is not None:
        tell(Collector([impossible]))
    begun = _begun(ctx, options, system)
    found = rhythm_of(design, system, begun)
    waits = waits_of(found)
    all_runs = _all_runs(options, found) if found.varies and not begun.steps else None
    if options.form == "json":
        click.echo(text_of(rhythm_record(found, waits, all_runs)))
    else:
        write_rhythm(sheet(), found, waits, all_runs, pressed=bool(begun.steps))
    return 0


def _begun(ctx: click.Context, options: Options, system: System) -> Trace:
    """Return the run up to the end of the last press."""
    presses = [*options.presses, *(listed(ctx, options.listed) if options.listed else [])]
    acts, last = acts_of(ctx, system, presses)
    if not acts:
        return Trace(())
    try:
        return played(system, acts, max(last, 1))
    except NoWayError as lost:
        raise click.UsageError(str(lost), ctx) from lost


def _all_runs(options: Options, found: Rhythm) -> AllRuns:
    items = varying(found)
    at_rest = asked(found, items)
    system = lowered(at_rest)
    checked = CheckSettings(effort=Effort(options.effort), jobs=options.jobs)
    with at_work(found.design.name) as progress:
        progress("the least and the most in all runs")
        bounds = told(items, list(answers(system, checked)))
        return AllRuns(bounds, draws_of(at_rest, checked.effort))
