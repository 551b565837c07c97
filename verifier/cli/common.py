"""What the commands share: the board, telling what is wrong, settings."""

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import click

from verifier.report.diagnostics import write_diagnostics
from verifier.report.letters import shown
from verifier.report.look import BLOCK, Board, board
from verifier.source.diagnostic import Collector
from verifier.syntax.parse import read_source

BAD_INPUT = 2


def sheet() -> Board:
    """Return the board for what was asked for."""
    return board(sys.stdout)


def tell(collector: Collector) -> None:
    """Print on standard error what was found, and leave with status 2 if it holds an error."""
    if collector.found:
        write_diagnostics(board(sys.stderr), collector.found)
    if collector.failed:
        raise click.exceptions.Exit(BAD_INPUT)


@contextmanager
def at_work(name: str) -> Iterator[Callable[[str], None]]:
    """Tell on a terminal what is being looked at in a design; elsewhere nothing."""
    if not sys.stderr.isatty():
        yield lambda _words: None
        return
    sheet_ = board(sys.stderr)
    turning = "dots" if sheet_.letters is BLOCK else "line"
    head = shown(name)
    with sheet_.console.status(f"{head}: at work", spinner=turning) as status:
        yield lambda words: status.update(f"{head}: {shown(words)}")


def settings(ctx: click.Context, param: click.Parameter, value: Sequence[str]) -> dict[str, str]:
    """Read `NAME=VALUE` settings; a name set twice is an error."""
    found: dict[str, str] = {}
    for text in value:
        name, equals, setting = text.partition("=")
        if not equals or not name.strip() or not setting.strip():
            raise click.BadParameter(f"{text!r} is no setting; write NAME=VALUE", ctx, param)
        if name.strip() in found:
            raise click.BadParameter(f"{name.strip()!r} is set twice", ctx, param)
        found[name.strip()] = setting.strip()
    return found


def lines_of(path: Path) -> list[str]:
    """Return the lines of a text file.

    Raises:
        click.UsageError: It cannot be read.
    """
    collector = Collector()
    source = read_source(path, collector)
    if source is None:
        raise click.UsageError(collector.found[0].headline)
    return source.text.splitlines()
