"""`latchwork draw`: draws the wiring of a design."""

from collections.abc import Mapping
from pathlib import Path

import click

from verifier.cli import takes
from verifier.cli.common import tell
from verifier.cli.designs import read, the_one
from verifier.cli.output import save
from verifier.report.drawing.wiring import wiring


@click.command("draw")
@takes.FILE
@takes.DESIGN
@takes.SET
@takes.written("--svg", "Write the drawing to a file instead of printing it.")
@click.pass_context
def command(
    ctx: click.Context, file: Path, design: str | None, values: Mapping[str, str], svg: Path | None
) -> int:
    """Draw the parts and wires of the design in FILE, as SVG.

    Power is drawn as two rails, a signal as one line; conditions are drawn as gates. A wide design
    is cut into bands, and a wire that goes on in another band ends in a tag with its name.
    """
    found, collector = read([file], values)
    tell(collector)
    text = wiring(the_one(ctx, found, design))
    if svg is None:
        click.echo(text, nl=False)
    else:
        save(ctx, svg, text)
    return 0
