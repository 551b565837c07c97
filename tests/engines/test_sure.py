"""Goals that are to be met whatever spans are drawn, against a game played out on every state."""

from collections import Counter
from dataclasses import replace
from functools import cache

import pytest

from tests.engines.zones.oracle import afterwards, all_choices, holds, starts
from tests.engines.zones.workshop import question
from tests.outside.desk import system_of
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


def can_force(system: System, goal: Node, *, anywhere: bool) -> bool:
    """Say whether who sees all that happens can meet the goal, however spans are drawn.

    From anywhere: from some start.
    """
    every = list(all_choices(system))

    @cache
    def wins(state: State, left: int) -> bool:
        if any(holds(goal, state, choices) for choices in every):
            return True
        return left > 0 and any(
            all(wins(after, left - 1) for after in afterwards(system, state, choices))
            for choices in every
        )

    return any(wins(state, LIMIT) for state in starts(system, anywhere=anywhere))


def answered(system: System, goal: Node, *, anywhere: bool) -> Outcome:
    none = question(goal, system.pool, anywhere=anywhere)
    asked: Question = replace(none, form=Form.REACH, goal=goal, limit=LIMIT, whatever=True)
    return Decider(replace(system, questions=(asked,)), Effort(0.5), worst=False).decide(asked)


@pytest.mark.parametrize("anywhere", [False, True])
def test_whatever_spans_are_drawn(anywhere: bool) -> None:
    told: Counter[str] = Counter()
    for seed in range(160):
        system, goal = plant(seed)
        ranged = any(clock.ranged for clock in system.clocks)
        if not ranged or system.allowed is not system.pool.yes:
            continue
        system, goal = in_time(system, goal)
        outcome = answered(system, goal, anywhere=anywhere)
        forced = can_force(system, goal, anywhere=anywhere)
        assert not outcome.fault, seed
        if outcome.verdict is Verdict.HOLDS:
            assert forced, seed
        if outcome.verdict is Verdict.FAILS:
            assert not forced, seed
        told[f"{outcome.verdict.value} {outcome.engine == 'plans without luck'}"] += 1
    assert told["holds True"] > 4
    assert told["fails True"] > (0 if anywhere else 1)
    assert told["unknown False"] < sum(told.values()) / 10


def test_what_is_drawn_elsewhere_has_no_say() -> None:
    """The bell rings 5 s after a pull at the latest; the lamp takes its time, and hears nobody."""
    system = system_of("""\
design hall {
  tick 500 ms
  rope : button
  mains : supply(4)
  shared : divider(ways: 2)
  mains -> shared
  late : on_delay(4 s .. 5 s)
  slow : off_delay(2 s .. 3 s)
  hold : off_delay(9 s)
  shared.way[1] -> hold -> late
  shared.way[2] -> slow
  rope -> hold.start
  late.start when hold.on
  slow.start when rope
  claim rings: possible late.on within 6 s whatever the spans
  claim sooner: possible late.on within 4500 ms whatever the spans
}
""")
    rings, sooner = (
        Decider(system, Effort(1.0)).decide(one) for one in system.questions if one.whatever
    )
    assert rings.verdict is Verdict.HOLDS
    assert sooner.verdict is Verdict.FAILS
