"""Goals that are to be met whatever spans are drawn, against a game played out on every state."""

from collections import Counter
from dataclasses import replace
from functools import cache

from tests.engines.zones.oracle import afterwards, all_choices, holds, starts
from tests.engines.zones.workshop import question
from tests.properties.plants import plant
from verifier.engines.decide import Decider, Effort
from verifier.system.expr import Node
from verifier.system.model import Clock, Form, Question, System
from verifier.system.state import State
from verifier.verdict.answer import Outcome, Verdict

LIMIT = 6


def in_time(system: System, goal: Node) -> tuple[System, Node]:
    """Return the system with a clock of its age, and the goal within the limit."""
    pool = system.pool
    age = Clock("age", LIMIT + 1, (), pool.yes, kept=False)
    return replace(system, clocks=(*system.clocks, age)), pool.and_(
        goal, pool.above(len(system.clocks), 0)
    )


def can_force(system: System, goal: Node) -> bool:
    """Say whether who sees all that happens can meet the goal, however spans are drawn."""
    every = list(all_choices(system))

    @cache
    def wins(state: State, left: int) -> bool:
        if any(holds(goal, state, choices) for choices in every):
            return True
        return left > 0 and any(
            all(wins(after, left - 1) for after in afterwards(system, state, choices))
            for choices in every
        )

    return all(wins(state, LIMIT) for state in starts(system, anywhere=False))


def answered(system: System, goal: Node) -> Outcome:
    asked: Question = replace(
        question(goal, system.pool), form=Form.REACH, goal=goal, limit=LIMIT, whatever=True
    )
    return Decider(replace(system, questions=(asked,)), Effort(0.5), worst=False).decide(asked)


def test_whatever_spans_are_drawn() -> None:
    told: Counter[str] = Counter()
    for seed in range(160):
        system, goal = plant(seed)
        ranged = any(clock.ranged for clock in system.clocks)
        if not ranged or system.allowed is not system.pool.yes:
            continue
        system, goal = in_time(system, goal)
        outcome, forced = answered(system, goal), can_force(system, goal)
        assert not outcome.fault, seed
        if outcome.verdict is Verdict.HOLDS:
            assert forced, seed
        if outcome.verdict is Verdict.FAILS:
            assert not forced, seed
        told[f"{outcome.verdict.value} {outcome.engine == 'plans without luck'}"] += 1
    assert told["holds True"] > 4
    assert told["fails True"] > 1
    assert told["unknown False"] < sum(told.values()) / 10
