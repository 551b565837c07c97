"""Where people get stuck, as plain data for other programs; stuck.schema.json describes it."""

from verifier.puzzle.stuck import Stuck, Trap
from verifier.puzzle.stuck_acts import Mistake
from verifier.report.record import SCHEMA, Json, milliseconds
from verifier.report.route import Teller
from verifier.report.stuck import act_words, hold_words
from verifier.report.trace_record import trace_record


def stuck_record(found: Stuck) -> Json:
    """Return the record of a search for dead ends; its verdict holds where nobody can be stuck."""
    design, outcome = found.goal.system.design, found.outcome
    teller = Teller(found.goal.system)
    return {
        "schema": SCHEMA,
        "file": design.file,
        "design": design.name,
        "goal": found.goal.words,
        "verdict": outcome.verdict.value,
        "reason": outcome.reason,
        "engine": outcome.engine,
        "judged_by": list(outcome.by),
        "states": found.states,
        "stuck": found.stuck,
        "trap": None if found.trap is None else _trap(found, found.trap),
        "mistakes": [_mistake(found, teller, one) for one in found.mistakes],
    }


def _trap(found: Stuck, trap: Trap) -> Json:
    system = found.goal.system
    tick_ns = system.design.tick_ns
    return {
        "from_ms": milliseconds(trap.trace.length, tick_ns),
        "last_moment_ms": None if trap.lost is None else milliseconds(trap.lost, tick_ns),
        "shortest": trap.shortest,
        "afterwards": trap.afterwards,
        "holds": [
            {"path": one.path, "value": one.value, "words": hold_words(system.design, one)}
            for one in trap.holds
        ],
        "trace": trace_record(system, trap.trace),
    }


def _mistake(found: Stuck, teller: Teller, mistake: Mistake) -> Json:
    system = found.goal.system
    at = milliseconds(mistake.trace.length - 1, system.design.tick_ns)
    return {
        "loss": mistake.loss.value,
        "words": act_words(teller, mistake),
        "at_ms": at,
        "afterwards": mistake.afterwards,
        "trace": trace_record(system, mistake.trace),
    }
