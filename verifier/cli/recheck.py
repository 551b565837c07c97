"""`latchwork recheck`: judges certificates again, without the engines that found them."""

from os.path import normpath
from pathlib import Path

import click

from verifier.cli.common import tell
from verifier.logic import second
from verifier.logic.recheck import Rechecked, recheck
from verifier.logic.tick import Limits
from verifier.report.clock import Clock
from verifier.report.letters import shown
from verifier.source.diagnostic import Collector
from verifier.verdict.answer import Verdict
from verifier.verdict.ruling import Finding

REFUSED = 1
NOT_IN_TIME = 3

STEPS = 1_000_000
"""What the solver may do in a second, in steps of its own: more than it does on a usual machine."""


@click.command("recheck")
@click.argument(
    "certificates",
    metavar="CERTIFICATE...",
    nargs=-1,
    required=True,
    type=click.Path(path_type=Path),
)
@click.option(
    "--design",
    "source",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="The file of the design, where it is not the one that the certificate names.",
)
@click.option(
    "--within",
    "seconds",
    type=click.FloatRange(min=0, min_open=True),
    default=60.0,
    show_default=True,
    metavar="SECONDS",
    help="How long each question to a solver may take.",
)
def command(certificates: tuple[Path, ...], source: Path | None, seconds: float) -> int:
    """Judge again what CERTIFICATE... show, from the source of the design alone.

    z3 is asked, and cvc5 too where it is installed. Nothing that searches for proofs has a part.

    Exit status: 0 if all are accepted, 1 if one is refused, 3 if none is but one could not be
    judged in time, 2 for a mistake in a file or in the call.
    """
    limits = Limits(max(1, int(STEPS * seconds)), seconds, second=second.installed())
    findings = set()
    collector = Collector()
    for path in certificates:
        # What was met with one certificate says nothing of the next.
        own = Collector()
        found = recheck(path, source, limits, own)
        for one in own.found:
            collector.add(one)
        if found is not None:
            findings.add(found.ruling.finding)
            click.echo(f"{shown(str(path))}: {_line(found)}")
    tell(collector)
    if Finding.WRONG in findings:
        return REFUSED
    return NOT_IN_TIME if Finding.UNSURE in findings else 0


def _line(found: Rechecked) -> str:
    ruling = found.ruling
    claim = f"`{shown(found.head.claim)}`"
    match ruling.finding:
        case Finding.SOUND:
            accepted = f"accepted by {' and '.join(ruling.by)}: {claim} {_verdict(found)}"
            return f"{accepted} ({_of(found)})"
        case Finding.WRONG:
            return f"refused: {claim} is not shown to {_verb(found)}; {ruling.words}"
        case _:
            return f"not judged: {claim}; {ruling.words}"


def _verdict(found: Rechecked) -> str:
    head = found.head
    if head.verdict is Verdict.FAILS:
        return "fails"
    if head.until is None:
        return "holds"
    return f"holds up to {Clock(head.tick_ns).span(head.until)}"


def _of(found: Rechecked) -> str:
    """Say of what it was judged: a certificate may be about other settings than one thinks of."""
    head = found.head
    given = ", ".join(f"{shown(name)} = {shown(value)}" for name, value in head.settings)
    design = f"{shown(head.design)} in {shown(normpath(found.file))}"
    return f"{design}, with {given}" if given else design


def _verb(found: Rechecked) -> str:
    return "fail" if found.head.verdict is Verdict.FAILS else "hold"
