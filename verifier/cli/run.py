"""`latchwork run`: runs a design and draws what happens."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from verifier.cli import takes
from verifier.cli.acts import acts_of
from verifier.cli.common import lines_of, sheet, tell
from verifier.cli.designs import read, the_one
from verifier.cli.output import save
from verifier.cli.times import Press, PressType, Time, TimeType
from verifier.design.model import Design
from verifier.report.record import run_record, text_of
from verifier.report.simulation import Wished, as_wished, write_simulation
from verifier.report.vain import with_vain
from verifier.simulate.told import NoWayError
from verifier.system.lower import lower

MOST_PRESSES = 5_000
"""No run with more presses than this: to tell them all would take minutes."""


@dataclass(frozen=True, slots=True)
class Options:
    """The options of one call, by the names of its parameters."""

    file: Path
    design: str | None
    until: Time | None
    presses: tuple[Press, ...]
    listed: Path | None
    values: Mapping[str, str]
    form: str
    svg: Path | None
    waveform: Path | None


@click.command("run")
@takes.FILE
@takes.DESIGN
@click.option("--for", "until", type=TimeType(), help="How long; else until all rests or repeats.")
@takes.PRESSES
@takes.SET
@takes.FORM
@takes.written("--svg", "Also write the time diagram to a file, as SVG.")
@takes.written("--waveform", "Also write all values to a file, as a value change dump (IEEE 1364).")
@click.pass_context
def command(ctx: click.Context, /, **given: Any) -> int:  # noqa: ANN401 - click's, read by Options
    """Run the design in FILE and draw what happens.

    A press is written 'NAME at TIME for TIME'; without the second time it lasts one tick. 'NAME to
    OPTION at TIME' sets a free choice, which then stays, or sends a walker to a room. Spans that
    are ranges take their lowest value. A press from a room in which nobody is then is told as one
    in vain.
    """
    options = Options(**given)
    design = _design(ctx, options)
    presses = [*options.presses, *(listed(ctx, options.listed) if options.listed else [])]
    if len(presses) > MOST_PRESSES:
        raise click.UsageError(f"{len(presses)} presses; a run has at most {MOST_PRESSES}", ctx)
    system = lower(design)
    acts, last = acts_of(ctx, system, presses)
    length = last if options.until is None else options.until.ticks(design.tick_ns) + 1
    wished = Wished(acts, max(length, 1), onward=options.until is None)
    try:
        found = with_vain(system, wished, as_wished(system, wished))
    except NoWayError as lost:
        raise click.UsageError(str(lost), ctx) from lost
    if options.svg is not None:
        from verifier.report.drawing.timeline import timeline

        save(ctx, options.svg, timeline(found.history, design.name))
    if options.waveform is not None:
        from verifier.report.waveform import waveform

        save(ctx, options.waveform, waveform(design, found.readings))
    if options.form == "json":
        click.echo(text_of(run_record(design, found.history, found.events)))
    else:
        write_simulation(sheet(), system, found)
    return 0


def _design(ctx: click.Context, options: Options) -> Design:
    designs, collector = read([options.file], options.values)
    tell(collector)
    return the_one(ctx, designs, options.design)


def listed(ctx: click.Context, path: Path) -> Sequence[Press]:
    """Read presses from a file; what is wrong is told with its line."""
    found: list[Press] = []
    for number, line in enumerate(lines_of(path), start=1):
        text = line.partition("#")[0].strip()
        if text:
            try:
                found.append(PressType().convert(text, None, ctx))
            except click.BadParameter as wrong:
                raise click.UsageError(f"{path}:{number}: {wrong.message}", ctx) from wrong
    return found
