"""`latchwork retune`: values of settings with which every claim holds."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from verifier.cli import takes
from verifier.cli.common import at_work, sheet
from verifier.cli.files import write_whole
from verifier.cli.trouble import no_such
from verifier.cli.turning import SHARED, rig, wanted
from verifier.design import files
from verifier.design.resolve import Wishes, designs_in, resolve
from verifier.report.letters import shown
from verifier.report.record import text_of
from verifier.report.retune import write_retuned
from verifier.report.retune_record import retune_record
from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.syntax.tidy import tidy
from verifier.tuning.dials import Setting
from verifier.tuning.dials_rig import Rig, texts
from verifier.tuning.retune import Aim, Goal, Search
from verifier.tuning.retune_answer import retuned
from verifier.tuning.retune_text import NoPlaceError, with_values

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
    least: str | None
    most: str | None
    near: bool
    calls: int
    out: Path | None
    form: str


@click.command("retune")
@SHARED
@click.option("--least", metavar="NAME", help="With this setting as low as may be.")
@click.option("--most", metavar="NAME", help="With this setting as high as may be.")
@click.option("--near", is_flag=True, help="With as little changed as may be (so it is anyway).")
@takes.calls("How many answers may be asked for.", 500)
@click.option(
    "--write",
    "out",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="Write the design with the values found to a new file.",
)
@takes.FORM
@click.pass_context
def command(ctx: click.Context, /, **given: Any) -> int:  # noqa: ANN401 - click's, read by Options
    """Find values for the settings of the design in FILE with which every claim holds.

    Settings with `tunable LOW .. HIGH` are turned, and those named with --turn. Where no values
    serve you are told which claims clash.

    Exit status: 0 if values were found, 1 if none serve, 3 if that is not known, 2 for a mistake
    in the file or in the call.
    """
    options = Options(**given)
    made, design = rig(
        ctx,
        options.file,
        design=options.design,
        values=options.values,
        turned=options.turned,
        effort=options.effort,
        every=False,
    )
    if not made.dials:
        words = "no setting may be turned: write `tunable LOW .. HIGH` after its value, or --turn"
        raise click.UsageError(words, ctx)
    claims = wanted(ctx, made, options.claims, options.left_out)
    goal = _goal(ctx, options, made)
    if options.out is not None and options.out.exists():
        raise click.UsageError(f"{options.out} is there already; name a new file", ctx)
    with at_work(design.name) as progress:
        told = Search(made, options.calls, lambda calls: progress(f"{calls} answers so far"))
        with told as search:
            found = retuned(search, claims, goal)
    at = found.found.at
    if options.form == "json":
        click.echo(text_of(retune_record(found, design)))
    else:
        write_retuned(sheet(), found, design.tick_ns)
    if at is not None and options.out is not None:
        _write(ctx, made, at, options.out)
        if options.form == "text":
            click.echo(f"written: {shown(str(options.out))}")
    if at is not None:
        return 0
    return NONE if found.none else UNKNOWN


def _goal(ctx: click.Context, options: Options, made: Rig) -> Goal:
    wished = [
        (aim, name)
        for aim, name in ((Aim.LEAST, options.least), (Aim.MOST, options.most))
        if name is not None
    ]
    if len(wished) + options.near > 1:
        raise click.UsageError("choose one of --least, --most and --near", ctx)
    if not wished:
        return Goal()
    aim, name = wished[0]
    names = [dial.name for dial in made.dials]
    if name not in names:
        raise no_such("setting that may be turned", name, names, ctx)
    return Goal(aim, names.index(name))


def _write(ctx: click.Context, made: Rig, at: Setting, out: Path) -> None:
    """Write the design with other values to a new file; what it uses must be found from there."""
    collector = Collector()
    design = made.design(at)
    tick_ns = 0 if design is None else design.tick_ns
    values = {**made.wishes, **texts(made.dials, at, tick_ns)}
    try:
        text = with_values(made.unit.source.text, made.block, values)
    except NoPlaceError as wrong:
        raise click.UsageError(f"cannot write {out}: {wrong}", ctx) from wrong
    source = Source(str(out), text)
    laid_out = tidy(source, collector)
    unit = files.of_source(source, out, collector)
    block = (
        None
        if unit is None
        else next(one for one in designs_in(unit) if one.name.text == made.block.name.text)
    )
    read = None if unit is None or block is None else resolve(block, unit, collector, Wishes())
    if laid_out is None or read is None or collector.failed:
        words = "; ".join(one.headline for one in collector.found)
        raise click.UsageError(f"cannot write {out}: it could not be read back ({words})", ctx)
    try:
        write_whole(out, laid_out)
    except OSError as wrong:
        raise click.UsageError(f"cannot write {out}: {wrong.strerror}", ctx) from wrong
