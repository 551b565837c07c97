"""A way through as plain data for other programs; route.schema.json describes it."""

from verifier.puzzle.moves import Made
from verifier.puzzle.route import Others, Route, Routed
from verifier.report.record import SCHEMA, Json, milliseconds
from verifier.report.route import Teller, instructions, told
from verifier.report.trace_record import trace_record


def route_record(found: Routed) -> Json:
    """Return the record of a way, or of there being none."""
    design = found.goal.system.design
    outcome = found.outcome
    return {
        "schema": SCHEMA,
        "file": design.file,
        "design": design.name,
        "goal": found.goal.words,
        "order": found.order.value,
        "verdict": outcome.verdict.value,
        "proved": found.proved,
        "reason": outcome.reason,
        "engine": outcome.engine,
        "judged_by": list(outcome.by),
        "states": found.states,
        "route": None if found.route is None else _route(found, found.route),
        "others": None if found.others is None else _others(found, found.others),
    }


def _route(found: Routed, route: Route) -> dict[str, Json]:
    system = found.goal.system
    tick_ns = system.design.tick_ns
    teller = Teller(system)
    story = told(found, route)
    steps = instructions(teller, route, story.events)
    return {
        "takes_ms": milliseconds(route.tick, tick_ns),
        "moves": [_move(teller, made) for made in route.deeds.moves],
        "instructions": [
            {"at_ms": milliseconds(one.tick, tick_ns), "words": one.words} for one in steps
        ],
        "luck": [
            {
                "at_ms": milliseconds(one.tick, tick_ns),
                "timer": system.clocks[one.clock].name,
                "shows_ms": milliseconds(one.ticks, tick_ns),
                "low_ms": milliseconds(one.low, tick_ns),
                "high_ms": milliseconds(one.high, tick_ns),
            }
            for one in route.deeds.luck
        ],
        "trace": trace_record(system, route.trace),
    }


def _move(teller: Teller, made: Made) -> Json:
    choice = teller.system.choices[made.move.choice]
    tick_ns = teller.system.design.tick_ns
    return {
        "at_ms": milliseconds(made.tick, tick_ns),
        "for_ms": milliseconds(made.ticks, tick_ns),
        "choice": choice.name,
        "words": teller.move(made.move),
    }


def _others(found: Routed, others: Others) -> Json:
    teller = Teller(found.goal.system)
    tick_ns = teller.system.design.tick_ns
    return {
        "count": others.count,
        "but_for_order": others.classes,
        "complete": others.count is not None and len(others.listed) == others.count,
        "why": others.why,
        "listed": [
            {
                "takes_ms": milliseconds(route.tick, tick_ns),
                "moves": [_move(teller, made) for made in route.deeds.moves],
                "trace": trace_record(teller.system, route.trace),
            }
            for route in others.listed
        ],
    }
