"""`latchwork check`: answers the claims of designs."""

import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import click

from verifier.cli import takes
from verifier.cli.certificates import places, write
from verifier.cli.common import sheet, tell
from verifier.cli.designs import read
from verifier.cli.times import Time
from verifier.cli.trouble import no_such
from verifier.design.model import Design
from verifier.engines.decide import Effort
from verifier.pipeline import CheckSettings, answers, cores, lowered, rules_out_all
from verifier.report.certificates import write_certificates
from verifier.report.finer import write_flips
from verifier.report.letters import shown
from verifier.report.look import BLOCK, board
from verifier.report.record import check_record, text_of
from verifier.report.terminal import write_answers
from verifier.system.model import System
from verifier.verdict.answer import Answer, Verdict

FAILS = 1
UNKNOWN = 3

LEAST_MEMORY = 128
"""Megabytes that each process is given at the least: with less it hardly starts."""


@dataclass(frozen=True, slots=True)
class Options:
    """The options of one call, by the names of its parameters."""

    files: tuple[Path, ...]
    design: str | None
    claims: tuple[str, ...]
    until: Time | None
    values: Mapping[str, str]
    finer: int | None
    effort: float
    memory: int
    jobs: int
    seed: int
    form: str
    certificates: Path | None
    svg: Path | None
    waveform: Path | None

    def for_design(self, design: Design, *, certificates: bool) -> CheckSettings:
        """Return what to check of a design, in its ticks."""
        horizon = None if self.until is None else self.until.ticks(design.tick_ns)
        jobs = self.jobs or cores()
        memory = max(LEAST_MEMORY, self.memory // jobs)
        effort = Effort(self.effort, memory, self.seed, horizon, certificates)
        return CheckSettings(self.claims, effort, jobs)


@dataclass(slots=True)
class Checked:
    """A design and the answers known so far; `again` are those of the same at a finer tick.

    `certificates` are the files that were written, by claim.
    """

    system: System
    answers: list[Answer]
    finer: System | None
    again: list[Answer]
    certificates: dict[str, Path] = field(default_factory=dict)


@click.command("check")
@click.argument(
    "files", metavar="FILE...", nargs=-1, required=True, type=click.Path(path_type=Path)
)
@takes.DESIGN
@takes.CLAIMS
@takes.UNTIL
@takes.SET
@click.option(
    "--finer",
    type=click.IntRange(min=2),
    metavar="N",
    help="Ask again with a tick N times finer, and list what flips.",
)
@takes.effort("How hard to try each claim.")
@takes.memory("How much memory all work together may take.", 4096)
@takes.jobs("How many processes work side by side")
@click.option(
    "--certificates",
    type=click.Path(file_okay=False, path_type=Path),
    metavar="DIR",
    help="Write what shows each answer to a file in DIR, for `latchwork recheck`.",
)
@takes.written("--svg", "Write a time diagram to a file, as SVG: of the first claim that fails.")
@takes.written("--waveform", "Write the same run to a file, as a value change dump (IEEE 1364).")
@takes.seed()
@takes.FORM
@click.pass_context
def command(ctx: click.Context, /, **given: Any) -> int:  # noqa: ANN401 - click's, read by Options
    """Answer the claims of the designs in FILE...

    A claim holds (for ever, or up to a time), fails (and you see how), or is unknown.

    Exit status: 0 if all hold, 1 if one fails, 3 if none fails but one is unknown, 2 for a mistake
    in a file or in the call.
    """
    options = Options(**given)
    if options.finer is not None and options.form == "json":
        raise click.UsageError("--finer tells in words what flips; leave out --format json", ctx)
    systems = _systems(ctx, options, 1)
    finer = _systems(ctx, options, options.finer) if options.finer else []
    _claims_exist(ctx, options, systems)
    files = places(options.certificates, systems) if options.certificates else []
    done: list[Checked] = []
    try:
        for number, system in enumerate(systems):
            done.append(Checked(system, [], finer[number] if finer else None, []))
            _answer(options, done[-1])
            if files:
                one = done[-1]
                one.certificates.update(write(system, one.answers, files[number], options.values))
            if options.form == "text":
                _write(done[-1])
    except (KeyboardInterrupt, click.UsageError) as stopped:
        _stopped(options, done, interrupted=isinstance(stopped, KeyboardInterrupt))
        raise
    if options.form == "json":
        _write_json(done)
    if options.svg is not None or options.waveform is not None:
        from verifier.cli.pictures import write_run

        runs = [(one.system, answer) for one in done for answer in one.answers]
        write_run(ctx, runs, options.svg, options.waveform)
    return _status([answer for one in done for answer in one.answers])


def _systems(ctx: click.Context, options: Options, finer: int) -> list[System]:
    """Return the systems of the designs that are meant; leaves with status 2 where one is wrong."""
    designs, collector = read(options.files, options.values, finer)
    if options.design is not None and not collector.failed:
        known = [design.name for design in designs]
        designs = [design for design in designs if design.name == options.design]
        if not designs:
            raise no_such("design", options.design, known, ctx)
    systems = [] if collector.failed else [lowered(design) for design in designs]
    for system in systems:
        impossible = rules_out_all(system)
        if impossible is not None:
            collector.add(impossible)
    if finer == 1 or collector.failed:
        tell(collector)
    return systems


def _claims_exist(ctx: click.Context, options: Options, systems: Sequence[System]) -> None:
    known = [question.name for system in systems for question in system.questions]
    for name in options.claims:
        if name not in known:
            raise no_such("claim", name, dict.fromkeys(known), ctx)


def _answer(options: Options, checked: Checked) -> None:
    """Answer the claims of one design; what is known so far is kept if this is interrupted."""
    with _progress(checked) as progress:
        for system, found in ((checked.system, checked.answers), (checked.finer, checked.again)):
            if system is None:
                continue
            wished = options.certificates is not None and system is checked.system
            for answer in answers(system, options.for_design(system.design, certificates=wished)):
                found.append(answer)
                progress()


@contextmanager
def _progress(checked: Checked) -> Iterator[Callable[[], None]]:
    """Tell on a terminal how many claims were answered; elsewhere nothing."""
    if not sys.stderr.isatty():
        yield lambda: None
        return
    sheet_ = board(sys.stderr)
    name = shown(checked.system.design.name)
    turning = "dots" if sheet_.letters is BLOCK else "line"
    with sheet_.console.status(f"{name}: at work on its claims", spinner=turning) as status:

        def progress() -> None:
            done = len(checked.answers) + len(checked.again)
            status.update(f"{name}: {done} answer{'' if done == 1 else 's'} so far")

        yield progress


def _write(checked: Checked) -> None:
    write_answers(sheet(), checked.system, checked.answers)
    if checked.finer is not None:
        tick = checked.finer.design.tick_ns
        write_flips(sheet(), tick, checked.answers, checked.again)
    if checked.certificates:
        write_certificates(sheet(), len(checked.answers), list(checked.certificates.values()))


def _write_json(done: Sequence[Checked]) -> None:
    click.echo(text_of(check_record((one.system, one.answers, one.certificates) for one in done)))


def _stopped(options: Options, done: Sequence[Checked], *, interrupted: bool) -> None:
    """Print what is known when a run is interrupted, or a certificate cannot be written."""
    if options.form == "json":
        _write_json(done)
    elif done and done[-1].answers:
        _write(done[-1])
    if interrupted:
        click.echo("latchwork: stopped; claims that are not listed were not answered", err=True)


def _status(found: Sequence[Answer]) -> int:
    verdicts = {answer.outcome.verdict for answer in found}
    if Verdict.FAILS in verdicts:
        return FAILS
    return UNKNOWN if Verdict.UNKNOWN in verdicts else 0
