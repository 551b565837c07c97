"""Answers and runs as plain data for other programs; the schemas beside this file describe both.

Times are in milliseconds, whole wherever the tick is.
"""

import json
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import assert_never

from verifier.design.bounds import Measure
from verifier.design.model import Design
from verifier.report import history
from verifier.report.events import Event
from verifier.report.history import Amount, Kept, Leaf, Left, Level, Place, Standing
from verifier.report.plain_data import Json, milliseconds
from verifier.report.trace_record import trace_record
from verifier.report.why_record import why_record
from verifier.simulate.watch import Again
from verifier.system.model import Form, System
from verifier.verdict.answer import Answer, Emptiness, Margin

__all__ = ["Json", "check_record", "milliseconds", "run_record", "text_of"]

SCHEMA = 1


def text_of(record: Json) -> str:
    """Return a record as text, the same each time for the same record."""
    return json.dumps(record, indent=2)


# --- answers ---


def check_record(
    checked: Iterable[tuple[System, Sequence[Answer], Mapping[str, Path]]],
) -> Json:
    """Return the record of a check: designs with the answers to their claims.

    With each design go the files of the certificates that were written, by claim.
    """
    return {
        "schema": SCHEMA,
        "designs": [
            {
                "file": system.design.file,
                "design": system.design.name,
                "claims": [
                    _answer(system, answer, certificates.get(answer.question.name))
                    for answer in answers
                ],
            }
            for system, answers, certificates in checked
        ],
    }


def _answer(system: System, answer: Answer, certificate: Path | None) -> Json:
    outcome = answer.outcome
    tick_ns = system.design.tick_ns
    return {
        "name": answer.question.name,
        "verdict": outcome.verdict.value,
        "reach": None if outcome.reach is None else outcome.reach.value,
        "until_ms": None if outcome.until is None else milliseconds(outcome.until, tick_ns),
        "reason": outcome.reason,
        "trace": trace_record(system, outcome.trace, outcome.lasso),
        "away_ms": None if outcome.away is None else milliseconds(outcome.away.ticks, tick_ns),
        "shortest": outcome.earliest if _has_end(answer) else None,
        "why": why_record(system, answer),
        "empty": {Emptiness.TESTED: False, Emptiness.NEVER: True}.get(outcome.empty),
        "margins": [_margin(system, one) for one in outcome.margins],
        "engine": outcome.engine,
        "judged_by": list(outcome.by),
        "certificate": None if certificate is None else str(certificate),
        "effort": round(outcome.effort, 3),
        "seconds": round(outcome.seconds, 3),
    }


def _has_end(answer: Answer) -> bool:
    """Whether an answer has a run at whose last tick something happens."""
    return answer.outcome.trace is not None and answer.question.form is not Form.OPEN


def _margin(system: System, margin: Margin) -> Json:
    def told(value: int) -> int | float:
        times = margin.measure is Measure.TIMES
        return value if times else milliseconds(value, system.design.tick_ns)

    return {
        "of": margin.measure.value,
        "unit": "times" if margin.measure is Measure.TIMES else "ms",
        "worst": told(margin.value),
        "allowed": None if margin.allowed is None else told(margin.allowed),
        "exact": margin.exact,
        "trace": trace_record(system, margin.trace, None),
    }


# --- runs ---


def run_record(design: Design, seen: history.History, events: Sequence[Event]) -> Json:
    """Return the record of a run: every row with its states, and the list of events."""
    tick_ns = seen.clock.tick_ns
    return {
        "schema": SCHEMA,
        "file": design.file,
        "design": design.name,
        "until_ms": milliseconds(seen.length, tick_ns),
        "rows": [
            {"name": row.name, "note": row.note, "runs": [_run(run, tick_ns) for run in row.runs]}
            for row in seen.rows
        ],
        "events": [
            {"at_ms": milliseconds(one.tick, tick_ns), "kind": one.kind.value, "words": one.words}
            for one in events
        ],
        "again": _again(seen.again, tick_ns),
    }


def _again(again: Again | None, tick_ns: int) -> Json:
    if again is None:
        return None
    return {
        "from_ms": milliseconds(again.start, tick_ns),
        "every_ms": milliseconds(again.period, tick_ns),
    }


def _run(run: history.Run, tick_ns: int) -> Json:
    state: Mapping[str, Json] = _state(run.state, tick_ns)
    return {
        "from_ms": milliseconds(run.start, tick_ns),
        "to_ms": milliseconds(run.end, tick_ns),
        **state,
    }


def _state(state: history.State, tick_ns: int) -> dict[str, Json]:
    match state:
        case Level(live):
            return {"live": live}
        case Amount(number, need, _):
            return {"number": number, "needs": need} if need else {"number": number}
        case Left(ticks, _, falls):
            return {"left_ms": milliseconds(ticks, tick_ns), "falls": falls}
        case Leaf():
            return {"leaf": state.value}
        case Place(name, between):
            return {"at": name, "between": between}
        case Standing(option, _):
            return {"at": option}
        case Kept(broken):
            return {"broken": broken}
        case _:
            assert_never(state)
