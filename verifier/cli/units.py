"""`latchwork units`: what each part gets of the units it needs, and how little supply will do."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from verifier.cli import takes
from verifier.cli.common import at_work, sheet
from verifier.cli.designs import resolved, the_block
from verifier.cli.trouble import no_such
from verifier.design.model import Design
from verifier.design.resolve import Wishes
from verifier.engines.decide import Effort
from verifier.report.record import text_of
from verifier.report.units import Found, write_units
from verifier.report.units_record import units_record
from verifier.tuning.supply import Bench, Knob, knobs, sources
from verifier.tuning.supply_least import least_of
from verifier.tuning.supply_taps import settings_of
from verifier.tuning.units import needs_of


@dataclass(frozen=True, slots=True)
class Options:
    """The options of one call, by the names of its parameters."""

    file: Path
    design: str | None
    supplies: tuple[str, ...]
    values: Mapping[str, str]
    effort: float
    form: str


@click.command("units")
@takes.FILE
@takes.DESIGN
@click.option(
    "--supply",
    "supplies",
    multiple=True,
    metavar="NAME",
    help="Look for the least amount of this part only; repeatable.",
)
@takes.SET
@takes.effort("How hard to try each question.", 2.0)
@takes.FORM
@click.pass_context
def command(ctx: click.Context, /, **given: Any) -> int:  # noqa: ANN401 - click's, read by Options
    """Say what each part of the design in FILE gets of the units it needs.

    The least and the most that can arrive, in any situation, proved; which parts starve, and how
    it comes to that; what all draw at their worst; the least supply with which every claim still
    holds, and how the taps must be set for it.

    Exit status: 0 if each part is proved to get enough, 1 if one starves or never gets anything,
    3 if that is not known, 2 for a mistake in the file or in the call.
    """
    options = Options(**given)
    unit, block = the_block(ctx, options.file, options.design)
    design, _ = resolved(block, unit, options.values)
    bench = Bench(block, unit, Wishes(options.values), Effort(options.effort))
    found = _found(ctx, options, bench, design)
    if options.form == "json":
        click.echo(text_of(units_record(found)))
    else:
        write_units(sheet(), found)
    parts = found.needs.parts
    if any(one.starves or one.dry for one in parts):
        return 1
    return 0 if all(one.enough for one in parts) else 3


def _found(ctx: click.Context, options: Options, bench: Bench, design: Design) -> Found:
    amounts = knobs(bench.block, bench.unit, design)
    wanted = _wanted(ctx, options, sources(design, amounts))
    with at_work(design.name) as progress:
        needs = needs_of(design, bench.effort, progress)
        if needs.drawn is None:
            return Found(needs, (), None)
        least = []
        for knob in wanted:
            progress(f"how little {knob.part} may give")
            least.append(least_of(bench, knob, sum(part.needs for part in needs.parts)))
        progress("how the taps must be set")
        return Found(needs, tuple(least), settings_of(bench, design, amounts))


def _wanted(ctx: click.Context, options: Options, known: tuple[Knob, ...]) -> tuple[Knob, ...]:
    names = {one.part: None for one in known}
    for name in options.supplies:
        if name not in names:
            raise no_such("supply with a written amount", name, names, ctx)
    return tuple(one for one in known if not options.supplies or one.part in options.supplies)
