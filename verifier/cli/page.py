"""`latchwork page`: writes a page about a design, to look at and to step through."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from verifier.cli import takes
from verifier.cli.common import tell
from verifier.cli.designs import read, the_one
from verifier.cli.output import save
from verifier.cli.times import Time
from verifier.cli.trouble import no_such
from verifier.engines.decide import Effort
from verifier.pipeline import CheckSettings, answers, lowered, rules_out_all
from verifier.report.letters import shown
from verifier.report.page.build import page_of
from verifier.report.page.write import text_of
from verifier.system.model import System


@dataclass(frozen=True, slots=True)
class Options:
    """The options of one call, by the names of its parameters."""

    file: Path
    out: Path
    design: str | None
    claims: tuple[str, ...]
    until: Time | None
    values: Mapping[str, str]
    effort: float


@click.command("page")
@takes.FILE
@click.option(
    "-o",
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    required=True,
    metavar="OUT.html",
    help="Where to write the page.",
)
@takes.DESIGN
@takes.CLAIMS
@takes.UNTIL
@takes.SET
@takes.effort("How hard to try each claim.")
@click.pass_context
def command(ctx: click.Context, /, **given: Any) -> int:  # noqa: ANN401 - click's, read by Options
    """Write a page about the design in FILE: answers, wiring and runs, to step through.

    The page is one HTML file that needs nothing else and fetches nothing. Exit status: 0 once it is
    written, whatever the answers are; 2 for a mistake in the file or in the call.
    """
    options = Options(**given)
    system = _system(ctx, options)
    _is_no_source(ctx, options)
    horizon = None if options.until is None else options.until.ticks(system.design.tick_ns)
    wanted = CheckSettings(options.claims, Effort(options.effort, horizon=horizon))
    page = page_of(system, list(answers(system, wanted)))
    save(ctx, options.out, text_of(page))
    click.echo(f"{shown(str(options.out))}: {shown(page.name)}, {page.tally}")
    return 0


def _system(ctx: click.Context, options: Options) -> System:
    found, collector = read([options.file], options.values)
    if collector.failed:
        tell(collector)
    system = lowered(the_one(ctx, found, options.design))
    impossible = rules_out_all(system)
    if impossible is not None:
        collector.add(impossible)
    tell(collector)
    known = [question.name for question in system.questions]
    for name in options.claims:
        if name not in known:
            raise no_such("claim", name, dict.fromkeys(known), ctx)
    return system


def _is_no_source(ctx: click.Context, options: Options) -> None:
    """See to it that no design is written over.

    Raises:
        click.UsageError: It would be.
    """
    if options.out.exists() and options.out.samefile(options.file):
        raise click.UsageError(f"{options.out} is the design itself; name another file", ctx)
