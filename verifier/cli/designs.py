"""Designs as the commands read them; apart, since the way to the engines takes long to load."""

from collections.abc import Mapping, Sequence
from pathlib import Path

import click

from verifier.cli.common import tell
from verifier.cli.trouble import no_such
from verifier.design.files import load
from verifier.design.model import Design
from verifier.design.resolve import Wishes, designs_in, resolve
from verifier.design.scope import Unit
from verifier.design.wording import no_design
from verifier.pipeline import designs, rules_out_all
from verifier.source.diagnostic import Collector
from verifier.syntax import tree
from verifier.system.lower import lower
from verifier.system.model import System


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
    return found[_meant(ctx, [design.name for design in found], name)]


def the_block(ctx: click.Context, path: Path, name: str | None) -> tuple[Unit, tree.Block]:
    """Return a file, and the design in it that is meant; leaves with status 2 where it can't.

    Raises:
        click.UsageError: As `the_one`.
    """
    collector = Collector()
    unit = load(path, collector)
    blocks = [] if unit is None else designs_in(unit)
    if unit is not None and not blocks:
        collector.add(no_design(unit.source.name))
    tell(collector)
    if unit is None:
        raise AssertionError("a file is missing and nothing was told of it")
    return unit, blocks[_meant(ctx, [block.name.text for block in blocks], name)]


def resolved(block: tree.Block, unit: Unit, values: Mapping[str, str]) -> tuple[Design, System]:
    """Return a design and its system; leaves with status 2 where anything is wrong with it."""
    collector = Collector()
    design = resolve(block, unit, collector, Wishes(values))
    system = None if design is None else lower(design)
    impossible = None if system is None else rules_out_all(system)
    if impossible is not None:
        collector.add(impossible)
    tell(collector)
    if design is None or system is None:
        raise AssertionError("a design is missing and nothing was told of it")
    return design, system


def _meant(ctx: click.Context, names: Sequence[str], name: str | None) -> int:
    if name is not None and name not in names:
        raise no_such("design", name, names, ctx)
    if name is None and len(names) > 1:
        raise click.UsageError(f"say which one with --design: {', '.join(names)}", ctx)
    return 0 if name is None else names.index(name)
