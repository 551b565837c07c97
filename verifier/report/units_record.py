"""Units as plain data for other programs; `units.schema.json` beside this file describes it."""

from typing import assert_never

from verifier.report.record import SCHEMA, Json, milliseconds
from verifier.report.units import Found
from verifier.report.verdicts import broken_at
from verifier.tuning.dials_rig import question
from verifier.tuning.supply import Tried
from verifier.tuning.supply_least import Least
from verifier.tuning.supply_taps import NoSettings, Settings
from verifier.tuning.units import Extreme, Gets
from verifier.verdict.trace import Trace


def units_record(found: Found) -> Json:
    """Return the record of what was found."""
    design = found.needs.system.design
    tick_ns = design.tick_ns
    return {
        "schema": SCHEMA,
        "file": design.file,
        "design": design.name,
        "parts": [_part(one, tick_ns) for one in found.needs.parts],
        "drawn": _extreme(found.needs.drawn, tick_ns),
        "least": [_least(one, tick_ns) for one in found.least],
        "taps": _settings(found.settings),
    }


def _part(one: Gets, tick_ns: int) -> Json:
    return {
        "name": one.part,
        "needs": one.needs,
        "verdict": _verdict(one),
        "least": _extreme(one.least, tick_ns),
        "most": _extreme(one.most, tick_ns),
        "nothing_at_ms": _moment(one.idle, tick_ns),
    }


def _verdict(one: Gets) -> str:
    if one.dry:
        return "nothing"
    return "starves" if one.starves else "enough" if one.enough else "unknown"


def _extreme(end: Extreme | None, tick_ns: int) -> Json:
    if end is None:
        return None
    return {
        "met": end.met,
        "proved": end.proved,
        "exact": end.exact,
        "at_ms": _moment(end.trace, tick_ns),
        "until_ms": None if end.until is None else milliseconds(end.until, tick_ns),
    }


def _moment(trace: Trace | None, tick_ns: int) -> int | float | None:
    return None if trace is None else milliseconds(trace.length - 1, tick_ns)


def _least(least: Least, tick_ns: int) -> Json:
    return {
        "part": least.knob.part,
        "amount": least.knob.parameter,
        "now": least.knob.now,
        "least": least.value,
        "all_smaller_fail": least.shown,
        "left_out": list(least.left_out),
        "unsettled": list(least.unsettled),
        "parts_left_out": list(least.parts_left_out),
        "refuted": None if least.refuted is None else _tried(least.refuted, tick_ns),
        "tried": [_tried(one, tick_ns) for one in least.tried],
        "tried_above": [_tried(one, tick_ns) for one in least.above],
    }


def _tried(one: Tried, tick_ns: int) -> Json:
    trace, at = one.outcome.trace, None
    if one.holds is False and one.system is not None and one.claim and trace is not None:
        at = milliseconds(broken_at(question(one.system, one.claim).form, trace), tick_ns)
    return {
        "value": one.value,
        "holds": one.holds,
        "claim": one.claim,
        "at_ms": at,
    }


def _settings(found: Settings | NoSettings | None) -> Json:
    match found:
        case None:
            return None
        case NoSettings(switched, words):
            return {"found": False, "switched": switched, "reason": words}
        case Settings():
            return {
                "found": True,
                "sources": [{"part": part, "amount": value} for part, value in found.sources],
                "taps": [
                    {"part": knob.part, "now": knob.now, "amount": value}
                    for knob, value in found.taps
                ],
                "none_with_less": found.least,
                "proved": found.serves,
                "broken": list(found.broken),
            }
        case _:
            assert_never(found)
