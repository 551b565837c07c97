"""Margins of settings as plain data; `margins.schema.json` beside this file describes it."""

from verifier.design.model import Design
from verifier.report.plain_data import Json
from verifier.report.record import SCHEMA
from verifier.report.retune_record import dial_record, outcome_record, value_of
from verifier.tuning.dials_rig import Rig, moved
from verifier.tuning.margins import Margins, Room, Side, Slack


def margins_record(rig: Rig, found: Margins, design: Design) -> Json:
    """Return the record of what was found."""
    tick_ns = design.tick_ns
    here = rig.system(found.at)
    return {
        "schema": SCHEMA,
        "file": design.file,
        "design": design.name,
        "claims": [
            {"claim": name, **outcome_record(one, here, tick_ns)} for name, one in found.answers
        ],
        "settings": [_room(rig, found, room, tick_ns) for room in found.rooms],
        "tolerance": None if found.slack is None else _slack(rig, found, found.slack, tick_ns),
        "calls": rig.calls,
    }


def _room(rig: Rig, found: Margins, room: Room, tick_ns: int) -> Json:
    dial = rig.dials[room.place]
    return {
        **dial_record(dial, tick_ns),
        "from": value_of(dial, room.low.last, tick_ns),
        "to": value_of(dial, room.high.last, tick_ns),
        "up_to_a_time_only": list(room.until),
        "by_runs_of_one_shape": list(room.alike),
        "below": _beyond(rig, found, room, room.low, tick_ns),
        "above": _beyond(rig, found, room, room.high, tick_ns),
    }


def _beyond(rig: Rig, found: Margins, room: Room, side: Side, tick_ns: int) -> Json:
    if side.edge is None:
        return None
    dial = rig.dials[room.place]
    edge = side.edge
    system = rig.system(moved(found.at, room.place, edge.at))
    return {
        "value": value_of(dial, edge.at, tick_ns),
        "claim": edge.claim,
        **outcome_record(edge.outcome, system, tick_ns),
    }


def _slack(rig: Rig, found: Margins, slack: Slack, tick_ns: int) -> Json:
    beyond: Json = None
    if slack.edge is not None:
        system = rig.system(found.at, slack.edge.at)
        beyond = {
            "percent": slack.edge.at,
            "claim": slack.edge.claim,
            **outcome_record(slack.edge.outcome, system, tick_ns),
        }
    return {
        "now_percent": slack.now,
        "most_percent": slack.most,
        "widens": slack.widens,
        "exact": list(slack.exact),
        "up_to_a_time_only": list(slack.until),
        "beyond": beyond,
    }
