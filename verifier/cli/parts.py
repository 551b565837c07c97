"""`latchwork parts`: the kinds of parts there are, and each of them at work."""

from pathlib import Path

import click

from verifier.cli import takes
from verifier.cli.common import sheet, tell
from verifier.cli.output import save
from verifier.cli.trouble import no_such
from verifier.design.files import load, standard
from verifier.design.scope import Unit
from verifier.report.bench import bench
from verifier.report.kinds import at_work, write_kind, write_kinds
from verifier.source.diagnostic import Collector
from verifier.syntax import tree


@click.command("parts")
@click.argument("kind", metavar="[KIND]", required=False)
@click.option(
    "--from",
    "file",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Look among the kinds of a file of your own, and those that it uses.",
)
@takes.written("--svg", "Also write the drawing of KIND at work to a file, as SVG.")
@click.pass_context
def command(ctx: click.Context, kind: str | None, file: Path | None, svg: Path | None) -> None:
    """Show KIND: its ports, what it is told, and a drawing of it at work.

    Without KIND all kinds are listed. The drawing is computed: the part is placed on a bench, every
    input is pressed for a moment and then in turn with the others.
    """
    collector = Collector()
    unit = standard() if file is None else load(file, collector)
    tell(collector)
    if unit is None:
        raise AssertionError("a file that cannot be read is an error that was told")
    if kind is None and svg is not None:
        raise click.UsageError("say which KIND is to be drawn", ctx)
    if kind is None:
        write_kinds(sheet(), _kinds(unit))
        return
    found = unit.kind(kind)
    if found is None:
        known = [block.name.text for one in (unit, *unit.uses) for block in _kinds(one)]
        raise no_such("kind", kind, dict.fromkeys(known), ctx)
    placed = bench(found[0], found[1])
    if svg is not None:
        if placed is None:
            raise click.UsageError(f"no simple bench serves {kind}; draw it in a design", ctx)
        from verifier.report.drawing.timeline import timeline

        save(ctx, svg, timeline(at_work(placed), kind))
    write_kind(sheet(), found[0], placed)


def _kinds(unit: Unit) -> list[tree.Block]:
    return [block for block in unit.file.blocks if not block.is_design]
