"""Designs as the commands read them; apart, since the way to the engines takes long to load."""

from collections.abc import Mapping, Sequence
from pathlib import Path

import click

from verifier.cli.trouble import no_such
from verifier.design.model import Design
from verifier.design.resolve import Wishes
from verifier.pipeline import designs
from verifier.source.diagnostic import Collector


def read(
    paths: Sequence[Path], values: Mapping[str, str], finer: int = 1
) -> tuple[list[Design], Collector]:
    """Return the designs of all files; and what is to be told of them."""
    collector = Collector()
    found = [design for path in paths for design in designs(path, collector, Wishes(values, finer))]
    return found, collector


def the_one(ctx: click.Context, found: Sequence[Design], name: str | None) -> Design:
    """Return the design of a file that is meant; with several, `name` says which.

    Raises:
        click.UsageError: It says none of them, or nothing although there are several.
    """
    names = [design.name for design in found]
    if name is not None and name not in names:
        raise no_such("design", name, names, ctx)
    if name is None and len(names) > 1:
        raise click.UsageError(f"say which one with --design: {', '.join(names)}", ctx)
    wanted = name or names[0]
    return next(design for design in found if design.name == wanted)
