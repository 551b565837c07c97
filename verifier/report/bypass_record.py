"""What a goal can be reached without, as plain data; bypass.schema.json describes it."""

from verifier.puzzle.bypass import Bypass, Row, Way
from verifier.puzzle.bypass_ask import Found
from verifier.puzzle.bypass_sets import Sets
from verifier.puzzle.orders import Orders
from verifier.puzzle.route import Route
from verifier.report.bypass import names
from verifier.report.record import SCHEMA, Json, milliseconds
from verifier.report.route import Teller
from verifier.report.trace_record import trace_record
from verifier.system.model import System


def bypass_record(found: Bypass) -> Json:
    """Return the record of a bypass table."""
    system = found.goal.system
    outcome = found.quickest.outcome
    return {
        "schema": SCHEMA,
        "file": system.design.file,
        "design": system.design.name,
        "goal": found.goal.words,
        "verdict": outcome.verdict.value,
        "reason": outcome.reason,
        "elements": [_row(row) for row in found.rows],
        "ways": [_way(system, way) for way in found.ways],
        "orders": None if found.orders is None else _orders(system, found.orders),
        "sets": None if found.sets is None else _sets(found.sets),
    }


def _row(row: Row) -> Json:
    return {
        "name": row.element.name,
        "kind": row.element.kind.value,
        "what": row.element.what,
        "needed": row.needed,
        "way": row.way,
        **_sure(row.found),
    }


def _sure(found: Found) -> dict[str, Json]:
    return {
        "known": _known(found),
        "reason": found.reason,
        "engine": found.engine,
        "judged_by": list(found.by),
    }


def _known(found: Found) -> str:
    if found.route is not None:
        return "shown"
    return "proved" if found.proved else "unknown"


def _way(system: System, way: Way) -> Json:
    tick_ns = system.design.tick_ns
    uses: dict[str, Json] = {
        element.name: milliseconds(tick, tick_ns) for element, tick in way.first.items()
    }
    return {**route_record(system, way.route), "first_uses_ms": uses}


def route_record(system: System, route: Route) -> dict[str, Json]:
    """Return the record of a route: how long it takes, its moves, its run."""
    tick_ns = system.design.tick_ns
    teller = Teller(system)
    return {
        "takes_ms": milliseconds(route.tick, tick_ns),
        "moves": [
            {"at_ms": milliseconds(made.tick, tick_ns), "words": teller.move(made.move)}
            for made in route.deeds.moves
        ],
        "trace": trace_record(system, route.trace),
    }


def _orders(system: System, orders: Orders) -> Json:
    return {
        "elements": [*names(orders.elements)],
        "left_out": orders.left_out,
        "chains": [[*names(chain)] for chain in orders.chains()],
        "pairs": [
            {
                "earlier": pair.earlier.name,
                "later": pair.later.name,
                "fixed": None if pair.found.unknown else pair.fixed,
                "other_way_round": None
                if pair.found.route is None
                else route_record(system, pair.found.route),
                **_sure(pair.found),
            }
            for pair in orders.pairs
        ],
    }


def _sets(sets: Sets) -> Json:
    return {"complete": sets.complete, "found": [[*names(one)] for one in sets.found]}
