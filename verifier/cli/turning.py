"""What the commands share that turn settings: which of them, how far, and the design itself."""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TypeVar

import click

from verifier.cli.common import settings, tell
from verifier.cli.trouble import no_such
from verifier.design import files
from verifier.design.model import Design
from verifier.design.resolve import Wishes, designs_in, resolve
from verifier.design.wording import no_design
from verifier.engines.decide import Effort
from verifier.pipeline import lowered, rules_out_all
from verifier.source.diagnostic import Collector
from verifier.tuning.dials import NoDialError, amount, dials, stand
from verifier.tuning.dials_rig import Rig

Wrapped = TypeVar("Wrapped", bound=Callable[..., object])


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


def shared(command: Wrapped) -> Wrapped:
    """Add the options that commands on settings share."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


_OPTIONS = (
    click.argument("file", metavar="FILE", type=click.Path(path_type=Path)),
    click.option("--design", metavar="NAME", help="Which design, if the file holds several."),
    click.option(
        "--claim", "claims", multiple=True, metavar="NAME", help="Only this claim; repeatable."
    ),
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
    click.option(
        "--set",
        "values",
        multiple=True,
        callback=settings,
        metavar="NAME=VALUE",
        help="Give a setting or parameter another value; repeatable.",
    ),
    click.option(
        "--effort",
        type=click.FloatRange(min=0, min_open=True),
        default=Effort().seconds,
        show_default=True,
        metavar="SECONDS",
        help="How hard to try each answer.",
    ),
)


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
    collector = Collector()
    unit = files.load(file, collector)
    blocks = [] if unit is None else designs_in(unit)
    if unit is not None and not blocks:
        collector.add(no_design(unit.source.name))
    tell(collector)
    if unit is None:
        raise AssertionError("a file is missing and nothing was told of it")
    names = [block.name.text for block in blocks]
    if design is not None and design not in names:
        raise no_such("design", design, names, ctx)
    if design is None and len(names) > 1:
        raise click.UsageError(f"say which one with --design: {', '.join(names)}", ctx)
    block = blocks[names.index(design) if design else 0]
    collector = Collector()
    found = resolve(block, unit, collector, Wishes(values))
    impossible = None if found is None else rules_out_all(lowered(found))
    if impossible is not None:
        collector.add(impossible)
    tell(collector)
    if found is None:
        raise AssertionError("a design is missing and nothing was told of it")
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
    system = made.system(stand(made.dials))
    if system is None:
        raise click.UsageError("with its settings moved into these ranges it is no design", ctx)
    known = [one.name for one in system.questions]
    for name in (*names, *left_out):
        if name not in known:
            raise no_such("claim", name, known, ctx)
    found = tuple(name for name in known if name not in left_out and (not names or name in names))
    if not found:
        raise click.UsageError("no claims are left: nothing says what must hold", ctx)
    return found
