"""The command `latchwork`: finds the subcommand, and sees to it that no run ends in a traceback.

Subcommands are loaded only when they are called, since the solver takes its time to start. Exit
status: what the subcommand says; 2 for bad usage or input, or output that cannot be written; 70
(EX_SOFTWARE of sysexits.h, 4.3BSD) for a fault of ours, 71 (EX_OSERR) for want of memory; 130 when
interrupted and 141 when nobody reads on, as a shell would say.
"""

import errno
import io
import os
import sys
from contextlib import suppress
from functools import partial
from importlib import import_module
from typing import Any, NoReturn

import click

from verifier.cli.trouble import fault, installed_version, no_such, usage, wanting

EX_USAGE = 2
EX_SOFTWARE = 70
EX_OSERR = 71
EX_INTERRUPTED = 130
EX_NO_READER = 141

_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO, errno.EBADF)
"""Why a stream takes no more."""

_COMMANDS = {
    "check": "Answer the claims of designs: holds, fails (and how), or unknown.",
    "recheck": "Judge certificates again, from the source of the design alone.",
    "run": "Run a design, with presses or without, and draw what happens.",
    "route": "Find the quickest way to a goal, step by step.",
    "bypass": "Tell what a goal can be reached without, and in which order.",
    "stuck": "Find where people get stuck, with a goal out of reach for good.",
    "trial": "Say how hard a goal is, and how often a random player gets there.",
    "rhythm": "Say in what rhythm a design runs when it is left alone.",
    "page": "Write a page about a design, to look at and to step through.",
    "units": "Say what each part gets of the units it needs, and how little will do.",
    "retune": "Find values of settings with which every claim holds, or which claims clash.",
    "margins": "Say how far each setting may drift before a claim fails.",
    "draw": "Draw the wiring of a design, as SVG.",
    "parts": "List the kinds of parts, or show one at work.",
    "tidy": "Write designs in the usual layout.",
    "explain": "Explain the code of a message, or the words of the language.",
}


class _Program(click.Group):
    """A group that loads its commands late and turns every ending into an exit status."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        del ctx
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        del ctx
        if cmd_name not in _COMMANDS:
            return None
        command = import_module(f"verifier.cli.{cmd_name}").command
        if not isinstance(command, click.Command):
            raise TypeError(cmd_name)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command, and offer the nearest one for a mistyped word."""
        if args and not args[0].startswith("-") and args[0] not in _COMMANDS:
            raise no_such("command", args[0], _COMMANDS, ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands without loading them."""
        del ctx
        with formatter.section("Commands"):
            formatter.write_dl(list(_COMMANDS.items()))

    def main(self, *args: Any, **extra: Any) -> NoReturn:  # noqa: ANN401 - as in click
        """Run and leave with an exit status, whatever happens."""
        extra.update(standalone_mode=False, prog_name="latchwork")
        sys.exit(_ended(self, args, extra))


def _ended(program: _Program, args: tuple[Any, ...], extra: dict[str, Any]) -> int:
    """Return the exit status; what is told on the way may be told to nobody."""
    _ready()
    status = _status(program, args, extra)
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except (OSError, ValueError):
            # What is still buffered must not raise once more when Python leaves.
            os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
    return status


def _ready() -> None:
    """Make the streams fit to be written to."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            # It was closed: nobody wants to hear what is said there.
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115, PTH123 - stays
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A letter that the terminal's encoding lacks is shown by its number.
            stream.reconfigure(errors="backslashreplace")


def _status(program: _Program, args: tuple[Any, ...], extra: dict[str, Any]) -> int:
    try:
        status = super(_Program, program).main(*args, **extra)
        sys.stdout.flush()
    except click.ClickException as wrong:
        with suppress(OSError):
            usage(wrong)
        return EX_USAGE
    except (KeyboardInterrupt, click.Abort):
        return EX_INTERRUPTED
    except BrokenPipeError:
        return EX_NO_READER
    except Exception as found:  # noqa: BLE001 - whatever it is, nobody is shown a traceback
        return _failed(found)
    return status if isinstance(status, int) else 0


def _failed(found: Exception) -> int:
    from verifier.logic.native import WANT, told

    if isinstance(found, WANT):
        say, status = partial(wanting, told(found)), EX_OSERR
    elif isinstance(found, OSError) and found.filename is None and found.errno in _FULL:
        words = f"what it prints cannot be written: {found.strerror}"
        say, status = partial(wanting, words), EX_USAGE
    else:
        say, status = partial(fault, found), EX_SOFTWARE
    with suppress(OSError):
        say()
    return status


@click.group(
    cls=_Program,
    context_settings={"help_option_names": ["--help"], "max_content_width": 100},
    no_args_is_help=False,
    invoke_without_command=True,
)
@click.option("--version", is_flag=True, help="Show the version and exit.")
@click.pass_context
def main(ctx: click.Context, *, version: bool) -> None:
    """Say what a timed door, light or trap circuit does before it is built."""
    if version:
        click.echo(f"latchwork {installed_version()}")
        ctx.exit()
    if ctx.invoked_subcommand is None:
        click.echo(ctx.get_help())
