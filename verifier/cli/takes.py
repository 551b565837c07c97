"""Options that several commands take, each told in one place."""

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from verifier.cli.common import settings
from verifier.cli.times import PressType, TimeType
from verifier.engines.decide import Effort

Wrapped = TypeVar("Wrapped", bound=Callable[..., object])
Option = Callable[[Any], Any]


def together(*options: Option) -> Callable[[Wrapped], Wrapped]:
    """Return several options as one, in the order in which `--help` lists them."""

    def add(command: Wrapped) -> Wrapped:
        for option in reversed(options):
            command = option(command)
        return command

    return add


def effort(words: str, seconds: float = Effort().seconds) -> Option:
    """Return `--effort`."""
    return click.option(
        "--effort",
        type=click.FloatRange(min=0, min_open=True),
        default=seconds,
        show_default=True,
        metavar="SECONDS",
        help=words,
    )


def memory(words: str, megabytes: int = Effort().memory) -> Option:
    """Return `--memory`."""
    return click.option(
        "--memory",
        type=click.IntRange(min=256),
        default=megabytes,
        show_default=True,
        metavar="MB",
        help=words,
    )


def jobs(words: str) -> Option:
    """Return `--jobs`."""
    return click.option(
        "--jobs",
        type=click.IntRange(min=0, max=1024),
        default=0,
        metavar="N",
        help=f"{words}; as many as there are cores unless given.",
    )


def seed(words: str = "Start of the random runs.") -> Option:
    """Return `--seed`."""
    return click.option("--seed", type=click.IntRange(min=0), default=0, help=words)


def calls(words: str, most: int) -> Option:
    """Return `--calls`."""
    return click.option(
        "--calls",
        type=click.IntRange(min=1),
        default=most,
        show_default=True,
        metavar="N",
        help=words,
    )


def written(name: str, words: str) -> Option:
    """Return an option that names a file to be written."""
    return click.option(name, type=click.Path(path_type=Path), metavar="FILE", help=words)


FILE = click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
DESIGN = click.option("--design", metavar="NAME", help="Which design, if the file holds several.")
CLAIMS = click.option(
    "--claim", "claims", multiple=True, metavar="NAME", help="Only this claim; repeatable."
)
UNTIL = click.option(
    "--for", "until", type=TimeType(), help="How far to look where nothing is proved for ever."
)
SET = click.option(
    "--set",
    "values",
    multiple=True,
    callback=settings,
    metavar="NAME=VALUE",
    help="Give a setting or parameter another value; repeatable.",
)
PRESSES = together(
    click.option(
        "--press",
        "presses",
        multiple=True,
        type=PressType(),
        metavar="PRESS",
        help="What someone does, such as 'ask_out at 2 s for 1 s'; repeatable.",
    ),
    click.option(
        "--presses",
        "listed",
        type=click.Path(path_type=Path),
        metavar="FILE",
        help="A file with one press a line; # begins a comment.",
    ),
)
FORM = click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True
)
