"""How hard a puzzle is, as plain data for other programs; trial.schema.json describes it."""

from verifier.puzzle.player import interval
from verifier.puzzle.route import Routed
from verifier.puzzle.trial import Trial
from verifier.report.record import SCHEMA, Json, milliseconds


def trial_record(found: Trial) -> Json:
    """Return the record of a trial."""
    design = found.goal.system.design
    return {
        "schema": SCHEMA,
        "file": design.file,
        "design": design.name,
        "goal": found.goal.words,
        "verdict": found.quickest.outcome.verdict.value,
        "quickest": _best(found.quickest),
        "fewest": _best(found.fewest),
        "states": None if found.size is None else found.size.states,
        "situations": None if found.size is None else found.size.situations,
        "player": _player(found),
    }


def _best(found: Routed) -> Json:
    if found.route is None:
        return None
    others = found.others
    return {
        "takes_ms": milliseconds(found.route.tick, found.goal.system.design.tick_ns),
        "moves": found.route.moves,
        "proved": found.proved,
        "ways": None if others is None else others.count,
    }


def _player(found: Trial) -> Json:
    games, habits = found.games, found.habits
    if games is None or not games.played:
        return None
    tick_ns = found.goal.system.design.tick_ns
    low, high = interval(len(games.met), games.played)
    half = sorted(games.met)[(len(games.met) - 1) // 2] if games.met else None
    return {
        "acts_every_ms": habits.every * tick_ns / 1_000_000,
        "holds_ms": habits.holds * tick_ns / 1_000_000,
        "within_ms": milliseconds(habits.within, tick_ns),
        "games": games.played,
        "through": len(games.met),
        "share": len(games.met) / games.played,
        "low_95": low,
        "high_95": high,
        "half_by_ms": None if half is None else milliseconds(half, tick_ns),
    }
