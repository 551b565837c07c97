"""What the commands share that turn settings: which of them, how far, and the design itself."""

from collections.abc import Mapping, Sequence
from pathlib import Path

import click

from verifier.cli import takes
from verifier.cli.common import settings
from verifier.cli.designs import resolved, the_block
from verifier.cli.trouble import no_such
from verifier.design.model import Design
from verifier.engines.decide import Effort
from verifier.tuning.dials import NoDialError, amount, dials, stand
from verifier.tuning.dials_rig import Rig


def turns(
    ctx: click.Context, param: click.Parameter, value: Sequence[str]
) -> dict[str, tuple[str, str]]:
    """Read `NAME=LOW..HIGH`."""
    found: dict[str, tuple[str, str]] = {}
    for name, text in settings(ctx, param, value).items():
        low, dots, high = text.partition("..")
        if not dots or amount(low, 1) is None or amount(high, 1) is None:
            words = f"{text!r} is no range for {name}; write NAME=LOW..HIGH, as 'stay=2 s..20 s'"
            raise click.BadParameter(words, ctx, param)
        found[name] = (low.strip(), high.strip())
    return found


SHARED = takes.together(
    takes.FILE,
    takes.DESIGN,
    takes.CLAIMS,
    click.option(
        "--without", "left_out", multiple=True, metavar="NAME", help="Not this claim; repeatable."
    ),
    click.option(
        "--turn",
        "turned",
        multiple=True,
        callback=turns,
        metavar="NAME=LOW..HIGH",
        help="Turn this setting within this range; repeatable.",
    ),
    takes.SET,
    takes.effort("How hard to try each answer."),
)
"""What commands on settings take."""


def rig(
    ctx: click.Context,
    file: Path,
    *,
    design: str | None,
    values: Mapping[str, str],
    turned: Mapping[str, tuple[str, str]],
    effort: float,
    every: bool,
) -> tuple[Rig, Design]:
    """Return a design with its dials; leaves with status 2 where anything is wrong with it."""
    unit, block = the_block(ctx, file, design)
    found, _ = resolved(block, unit, values)
    known = [one.name for one in found.settings]
    for name in turned:
        if name not in known:
            raise no_such("setting", name, known, ctx)
    try:
        turnable = dials(found, turned, every=every)
    except NoDialError as wrong:
        raise click.UsageError(str(wrong), ctx) from wrong
    return Rig(block, unit, values, turnable, Effort(effort)), found


def wanted(
    ctx: click.Context, made: Rig, names: Sequence[str], left_out: Sequence[str]
) -> tuple[str, ...]:
    """Return the claims that are asked for: all unless some are named, less those left out.

    Raises:
        click.UsageError: One is none, or there are none at all.
    """
    known = [one.name for one in made.made(stand(made.dials)).questions]
    for name in (*names, *left_out):
        if name not in known:
            raise no_such("claim", name, known, ctx)
    found = tuple(name for name in known if name not in left_out and (not names or name in names))
    if not found:
        raise click.UsageError("no claims are left: nothing says what must hold", ctx)
    return found
