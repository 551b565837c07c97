"""Goals as the commands about puzzles read them: a file, and what is to be reached in it."""

from collections.abc import Mapping
from pathlib import Path

import click

from verifier.cli.common import tell
from verifier.cli.trouble import no_such
from verifier.design import files
from verifier.design.resolve import Wishes, designs_in
from verifier.design.wording import no_design
from verifier.pipeline import rules_out_all
from verifier.puzzle.goal import Goal, goal_of
from verifier.source.diagnostic import Collector
from verifier.syntax import tree


def read_goal(
    ctx: click.Context,
    path: Path,
    words: str,
    *,
    design: str | None,
    values: Mapping[str, str],
    walkers: int = 1,
) -> Goal:
    """Return the goal; leaves with status 2 where anything is wrong with the file or the words.

    Raises:
        click.UsageError: The file holds several designs and none of them is named, or no walker.
    """
    collector = Collector()
    unit = files.load(path, collector)
    if unit is not None and not designs_in(unit):
        collector.add(no_design(unit.source.name))
    goal = None
    if unit is not None and not collector.failed:
        block = _block(ctx, designs_in(unit), design)
        goal = goal_of(block, unit, words, collector, Wishes(values), walkers=walkers)
    impossible = None if goal is None else rules_out_all(goal.system)
    if impossible is not None:
        collector.add(impossible)
    tell(collector)
    if goal is None:
        raise AssertionError("a goal is missing and nothing was told of it")
    if walkers > 1 and not goal.system.design.walkers:
        raise click.UsageError("--walkers: nobody walks in this design", ctx)
    return goal


def _block(ctx: click.Context, blocks: list[tree.Block], name: str | None) -> tree.Block:
    names = [block.name.text for block in blocks]
    if name is not None and name not in names:
        raise no_such("design", name, names, ctx)
    if name is None and len(names) > 1:
        raise click.UsageError(f"say which one with --design: {', '.join(names)}", ctx)
    return blocks[names.index(name) if name is not None else 0]
