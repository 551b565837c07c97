"""`latchwork tidy`: brings designs to the one layout."""

from pathlib import Path

import click

from verifier.cli.common import tell
from verifier.cli.output import save
from verifier.report.letters import shown
from verifier.source.diagnostic import Collector
from verifier.syntax.parse import read_source
from verifier.syntax.tidy import tidy

NOT_TIDY = 1


@click.command("tidy")
@click.argument(
    "files", metavar="FILE...", nargs=-1, required=True, type=click.Path(path_type=Path)
)
@click.option("--write", is_flag=True, help="Write the files in place instead of printing them.")
@click.option("--check", is_flag=True, help="Only name the files that are not tidy; status 1 then.")
@click.pass_context
def command(ctx: click.Context, files: tuple[Path, ...], *, write: bool, check: bool) -> int:
    """Print the designs in FILE... in the usual layout; comments stay.

    Where one of the files cannot be read as a design nothing is written at all.
    """
    if write and check:
        raise click.UsageError("--write changes files and --check does not: choose one", ctx)
    collector = Collector()
    texts: list[tuple[Path, str, str]] = []
    for path in files:
        source = read_source(path, collector)
        text = None if source is None else tidy(source, collector)
        if source is not None and text is not None:
            texts.append((path, source.text, text))
    tell(collector)
    if not write and not check:
        for _, _, text in texts:
            click.echo(text, nl=False)
        return 0
    changed = [(path, text) for path, before, text in texts if before != text]
    for path, text in changed:
        if write:
            save(ctx, path, text)
        click.echo(f"{'tidied' if write else 'not tidy'}: {shown(str(path))}")
    return NOT_TIDY if check and changed else 0
