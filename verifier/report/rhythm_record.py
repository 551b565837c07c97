"""A rhythm as plain data for other programs; `rhythm.schema.json` beside this file describes it.

Times are in milliseconds, whole wherever the tick is; amounts are in units of power.
"""

from collections.abc import Sequence
from fractions import Fraction

from verifier.report.clock import Clock
from verifier.report.phrases import Phrases
from verifier.report.record import SCHEMA, Json, milliseconds
from verifier.tuning.cycle import Loop
from verifier.tuning.rhythm import Beat, Rhythm
from verifier.tuning.rhythm_bounds import AllRuns, Bounds, End, Extent
from verifier.tuning.rhythm_stall import Wait
from verifier.tuning.units import Extreme


def rhythm_record(found: Rhythm, waits: Sequence[Wait], all_runs: AllRuns | None) -> Json:
    """Return the record of a rhythm."""
    design, loop = found.design, found.loop
    tick_ns = design.tick_ns
    looped = loop if isinstance(loop, Loop) else None
    phrases = Phrases(design, Clock(tick_ns))
    return {
        "schema": SCHEMA,
        "file": design.file,
        "design": design.name,
        "ends": "unknown" if looped is None else "rest" if looped.period is None else "loop",
        "settles_ms": None if looped is None else milliseconds(looped.settles, tick_ns),
        "period_ms": None
        if looped is None or not looped.period
        else milliseconds(looped.period, tick_ns),
        "round_from_ms": milliseconds(found.start, tick_ns),
        "jumps": loop.jumps,
        "varies": found.varies,
        "left_alone": found.hands,
        "breaks_assumption_ms": None
        if found.breaks is None
        else milliseconds(found.breaks, tick_ns),
        "items": [_beat(one, tick_ns) for one in found.beats],
        "not_looped": [one.name for one in found.lost],
        "draw": {
            "first": found.draw.first,
            "least": found.draw.least,
            "most": found.draw.most,
            "average": float(found.draw.average),
            "supplied": found.draw.supplied,
        },
        "waits": [
            {"part": one.part, "for": [phrases.fact(fact) for fact in one.facts]} for one in waits
        ],
        "bounds": [] if all_runs is None else [_bounds(one, tick_ns) for one in all_runs.bounds],
        "drawn_in_all_runs": _drawn(None if all_runs is None else all_runs.drawn),
    }


def _drawn(drawn: tuple[Extreme, Extreme] | None) -> Json:
    if drawn is None:
        return None
    return {"least": _amount(drawn[0]), "most": _amount(drawn[1])}


def _amount(end: Extreme) -> Json:
    return {"units": end.met, "exact": end.exact}


def _beat(beat: Beat, tick_ns: int) -> Json:
    return {
        "name": beat.item.name,
        "sort": beat.item.sort.value,
        "on_ms": milliseconds(beat.ticks, tick_ns),
        "share": share(beat.share),
        "times": beat.switchings,
        "period_ms": milliseconds(beat.period, tick_ns),
        "from_ms": milliseconds(beat.origin, tick_ns),
        "on": [
            {"from_ms": milliseconds(start, tick_ns), "to_ms": milliseconds(end, tick_ns)}
            for start, end in beat.on
        ],
    }


def share(value: Fraction) -> float:
    """Return a share of the time as a number from 0 to 1."""
    return round(float(value), 6)


def _bounds(found: Bounds, tick_ns: int) -> Json:
    return {
        "name": found.item.name,
        "always": found.steady,
        "on": _extent(found.on, tick_ns),
        "off": _extent(found.off, tick_ns),
        "round": _extent(found.round, tick_ns),
    }


def _extent(extent: Extent, tick_ns: int) -> Json:
    return {"least": _end(extent.least, tick_ns), "most": _end(extent.most, tick_ns)}


def _end(end: End, tick_ns: int) -> Json:
    return (
        None if end.ticks is None else {"ms": milliseconds(end.ticks, tick_ns), "exact": end.exact}
    )
