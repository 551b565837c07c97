"""`latchwork units`: what each part gets of the units it needs, and how little supply will do."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from verifier.cli.common import at_work, settings, sheet, tell
from verifier.cli.trouble import no_such
from verifier.design import files
from verifier.design.model import Design
from verifier.design.resolve import Wishes, designs_in, resolve
from verifier.design.wording import no_design
from verifier.engines.decide import Effort
from verifier.pipeline import lowered, rules_out_all
from verifier.report.record import text_of
from verifier.report.units import Found, write_units
from verifier.report.units_record import units_record
from verifier.source.diagnostic import Collector
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
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
@click.option("--design", metavar="NAME", help="Which design, if the file holds several.")
@click.option(
    "--supply",
    "supplies",
    multiple=True,
    metavar="NAME",
    help="Look for the least amount of this part only; repeatable.",
)
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
    default=2.0,
    show_default=True,
    metavar="SECONDS",
    help="How hard to try each question.",
)
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True
)
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
    bench, design = _bench(ctx, options)
    found = _found(ctx, options, bench, design)
    if options.form == "json":
        click.echo(text_of(units_record(found)))
    else:
        write_units(sheet(), found)
    parts = found.needs.parts
    if any(one.starves or one.dry for one in parts):
        return 1
    return 0 if all(one.enough for one in parts) else 3


def _bench(ctx: click.Context, options: Options) -> tuple[Bench, Design]:
    """Return the design, and a bench for its variants; leaves where anything is wrong with it."""
    collector, wishes = Collector(), Wishes(options.values)
    unit = files.load(options.file, collector)
    blocks = [] if unit is None else designs_in(unit)
    if unit is not None and not blocks:
        collector.add(no_design(unit.source.name))
    if unit is None or collector.failed:
        tell(collector)
        raise AssertionError("a file is missing and nothing was told of it")
    names = [block.name.text for block in blocks]
    if options.design is not None and options.design not in names:
        raise no_such("design", options.design, names, ctx)
    if options.design is None and len(names) > 1:
        raise click.UsageError(f"say which one with --design: {', '.join(names)}", ctx)
    block = blocks[names.index(options.design) if options.design else 0]
    design = resolve(block, unit, collector, wishes)
    impossible = None if design is None else rules_out_all(lowered(design))
    if impossible is not None:
        collector.add(impossible)
    tell(collector)
    if design is None:
        raise AssertionError("a design is missing and nothing was told of it")
    return Bench(block, unit, wishes, Effort(options.effort)), design


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
            least.append(least_of(bench, knob, needs.drawn.proved))
        progress("how the taps must be set")
        return Found(needs, tuple(least), settings_of(bench, design, amounts))


def _wanted(ctx: click.Context, options: Options, known: tuple[Knob, ...]) -> tuple[Knob, ...]:
    names = {one.part: None for one in known}
    for name in options.supplies:
        if name not in names:
            raise no_such("supply with a written amount", name, names, ctx)
    return tuple(one for one in known if not options.supplies or one.part in options.supplies)
