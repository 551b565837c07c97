"""The run that answers rest on, as files: a time diagram, a waveform."""

from collections.abc import Sequence
from pathlib import Path

import click

from verifier.cli.output import save
from verifier.report.drawing.timeline import timeline
from verifier.report.story import story
from verifier.report.waveform import waveform
from verifier.simulate.watch import watch
from verifier.system.model import System
from verifier.verdict.answer import Answer, Verdict


def write_run(
    ctx: click.Context,
    found: Sequence[tuple[System, Answer]],
    svg: Path | None,
    values: Path | None,
) -> None:
    """Write the run of the first claim that fails, else of the first that a run answers.

    Where there is none, nothing is written, and that is told.
    """
    ranked = sorted(found, key=lambda one: one[1].outcome.verdict is not Verdict.FAILS)
    for system, answer in ranked:
        told = story(system, answer)
        if told is None:
            continue
        question = answer.question
        if svg is not None:
            title = f"{system.design.name}, {question.name}"
            save(ctx, svg, timeline(told.history, title))
        if values is not None:
            bad = question.bad if question.bad is not system.pool.no else None
            seen = watch(system, told.trace, bad)
            save(ctx, values, waveform(system.design, seen.readings, question.name))
        return
    click.echo("latchwork: no answer rests on a run, so none is drawn", err=True)
