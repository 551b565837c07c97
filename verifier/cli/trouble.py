"""What is said when a call was wrong, or when we are."""

import platform
import sys
import traceback
from collections.abc import Iterable
from pathlib import Path

import click

from verifier.source.nearest import nearest

_PACKAGE = Path(__file__).resolve().parent.parent
_LONGEST = 300


def no_such(
    what: str, name: str, known: Iterable[str], ctx: click.Context | None = None
) -> click.UsageError:
    """Return the error for a name that is none, with the nearest known one or all of them."""
    names = list(known)
    close = nearest(name, names)
    if close is not None:
        offer = f"; did you mean {close}?"
    else:
        offer = f"; there are: {', '.join(names)}" if names else "; there are none"
    return click.UsageError(f"no {what} is called {name!r}{offer}", ctx)


def usage(wrong: click.ClickException) -> None:
    """Say on standard error what is wrong with a call, and where to read on."""
    from verifier.report.letters import shown

    message = "\n".join(map(shown, wrong.format_message().splitlines()))
    click.echo(f"latchwork: {message}", err=True)
    ctx = getattr(wrong, "ctx", None)
    if isinstance(ctx, click.Context):
        pieces = [shown(piece) for piece in ctx.command.collect_usage_pieces(ctx)]
        click.echo(f"  call   {ctx.command_path} {' '.join(pieces)}", err=True)
        click.echo(f"  more   {ctx.command_path} --help", err=True)


def wanting(words: str) -> None:
    """Say on standard error what the system did not give."""
    from verifier.report.letters import shown

    click.echo(f"latchwork: {shown(words)}; it could not go on", err=True)


def fault(found: Exception) -> None:
    """Say on standard error that the program is at fault, with what helps to find out why."""
    from verifier.report.letters import cut, shown

    words = cut(shown(str(found).strip().partition("\n")[0]), _LONGEST)
    lines = [
        "latchwork: this is a fault of ours, not of your design; nothing it printed counts.",
        "  Please report these lines, together with the design:",
        f"  {type(found).__name__}{': ' if words else ''}{words}",
        f"  at {_where(found)}",
        f"  latchwork {installed_version()}, Python {platform.python_version()}, {sys.platform}",
    ]
    click.echo("\n".join(lines), err=True)


def _where(found: Exception) -> str:
    """Return the innermost place in our own code that a fault came through."""
    place = "an unknown place"
    for frame in traceback.extract_tb(found.__traceback__):
        path = Path(frame.filename)
        if path.is_relative_to(_PACKAGE):
            place = f"{path.relative_to(_PACKAGE.parent)}:{frame.lineno} in {frame.name}"
    return place


def installed_version() -> str:
    """Return the version of the installed package."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("latchwork")
    except PackageNotFoundError:
        return "(not installed)"
