"""Retuning as plain data for other programs; `retune.schema.json` beside this file describes it."""

from verifier.design.model import Design
from verifier.report.plain_data import Json, milliseconds
from verifier.report.record import SCHEMA
from verifier.report.trace_record import trace_record
from verifier.system.model import System
from verifier.tuning.dials import Dial, Setting, Sort
from verifier.tuning.retune import Aim, Answered
from verifier.tuning.retune_answer import Retuned
from verifier.verdict.answer import Outcome


def retune_record(found: Retuned, design: Design) -> Json:
    """Return the record of what was found."""
    tick_ns, rig = design.tick_ns, found.rig
    here = rig.system(found.stands)
    clash: Json = None
    if found.clash is not None and found.none:
        without = zip(found.clash.claims, found.clash.without, strict=True)
        clash = [
            {"claim": claim, "without_it": None if at is None else values(rig.dials, at, tick_ns)}
            for claim, at in without
        ]
    at = found.found.at
    return {
        "schema": SCHEMA,
        "file": design.file,
        "design": design.name,
        "goal": found.goal.aim.value,
        "of": None if found.goal.aim is Aim.NEAR else rig.dials[found.goal.dial].name,
        "settings": [dial_record(dial, tick_ns) for dial in rig.dials],
        "verdict": "found" if at is not None else "none" if found.none else "unknown",
        "values": None if at is None else values(rig.dials, at, tick_ns),
        "best": found.found.best,
        "claims": [answered(one, None, tick_ns) for one in found.found.answers],
        "before": [answered(one, here, tick_ns) for one in found.before],
        "idle": list(found.idle),
        "none_by": list(found.none_by),
        "clash": clash,
        "unsure": [
            {
                "values": values(rig.dials, one.at, tick_ns),
                "claim": one.claim,
                "reason": one.reason,
            }
            for one in found.found.unsure
        ],
        "spent": found.found.spent,
        "regions": found.regions,
        "points": found.points,
        "calls": found.calls,
    }


def value_of(dial: Dial, value: int, tick_ns: int) -> int | float:
    """Return a value: times in milliseconds."""
    return milliseconds(value, tick_ns) if dial.sort is Sort.TIME else value


def values(dials: tuple[Dial, ...], at: Setting, tick_ns: int) -> dict[str, Json]:
    """Return what each dial stands at, by name."""
    pairs = zip(dials, at, strict=True)
    return {dial.name: value_of(dial, value, tick_ns) for dial, value in pairs}


def dial_record(dial: Dial, tick_ns: int) -> dict[str, Json]:
    """Return a dial with its range."""
    return {
        "name": dial.name,
        "unit": "ms" if dial.sort is Sort.TIME else "number",
        "now": value_of(dial, dial.now, tick_ns),
        "low": value_of(dial, dial.low, tick_ns),
        "high": value_of(dial, dial.high, tick_ns),
        "range_of_its_own": dial.own,
    }


def answered(one: Answered, system: System | None, tick_ns: int) -> dict[str, Json]:
    """Return the answer to a claim; with its run where the system is given."""
    return {"claim": one.claim, **outcome_record(one.outcome, system, tick_ns)}


def outcome_record(outcome: Outcome, system: System | None, tick_ns: int) -> dict[str, Json]:
    """Return an answer in short."""
    reach, until = outcome.reach, outcome.until
    trace = None if system is None else trace_record(system, outcome.trace, outcome.lasso)
    return {
        "verdict": outcome.verdict.value,
        "reach": None if reach is None else reach.value,
        "until_ms": None if until is None else milliseconds(until, tick_ns),
        "reason": outcome.reason,
        "trace": trace,
    }
