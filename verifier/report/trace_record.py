"""Runs as plain data: choices are told by the names people know, so that they can be replayed."""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from verifier.report.plain_data import Json, milliseconds
from verifier.system.model import System
from verifier.verdict.trace import Lasso, State, Step, Trace


def trace_record(system: System, trace: Trace | None, lasso: Lasso | None = None) -> Json:
    """Return the steps of a run; those of a loop say that they come again for ever."""
    back: int | None = None
    if lasso is not None:
        trace, back = lasso.trace, lasso.back_to
    if trace is None:
        return None
    told: list[Json] = []
    one: dict[str, Json]
    tick = 0
    for step in _cut(trace.steps, back or 0):
        one = _step(system, step, tick)
        if not told and trace.start is not None:
            one["start"] = _start(system, trace.start)
        if back is not None and tick >= back:
            one["again"] = True
        told.append(one)
        tick += step.ticks
    if not told and trace.start is not None:
        one = {"at_ms": 0, "for_ms": 0, "choices": {}, "draws": {}}
        one["start"] = _start(system, trace.start)
        told.append(one)
    return told


def _cut(steps: Iterable[Step], at: int) -> Iterator[Step]:
    """Yield the steps, one of them in two so that a step begins at the tick."""
    tick = 0
    for step in steps:
        before = at - tick
        if 0 < before < step.ticks:
            yield replace(step, ticks=before)
            yield replace(step, ticks=step.ticks - before)
        else:
            yield step
        tick += step.ticks


def _step(system: System, step: Step, tick: int) -> dict[str, Json]:
    tick_ns = system.design.tick_ns
    choices: dict[str, Json] = {
        choice.name: choice.options[option]
        for choice, option in zip(system.choices, step.choices, strict=True)
        if option
    }
    draws: dict[str, Json] = {
        clock.name: milliseconds(drawn, tick_ns)
        for clock, drawn in zip(system.clocks, step.draws, strict=True)
        if clock.ranged and drawn
    }
    return {
        "at_ms": milliseconds(tick, tick_ns),
        "for_ms": milliseconds(step.ticks, tick_ns),
        "choices": choices,
        "draws": draws,
    }


def _start(system: System, start: State) -> Json:
    """Return the kept values that a run from anywhere begins with."""
    tick_ns = system.design.tick_ns
    live: dict[str, Json] = {
        one.name: on for one, on in zip(system.registers, start.registers, strict=True) if one.kept
    }
    left: dict[str, Json] = {
        one.name: milliseconds(value, tick_ns)
        for one, value in zip(system.clocks, start.clocks, strict=True)
        if one.kept
    }
    return {"live": live, "left_ms": left}
