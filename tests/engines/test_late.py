"""What must stay possible within a time, and is too far away after some run.

Worked out by hand. The turn lasts 5 s and starts a tick after the press; the gate follows a tick
later, opens in 2 s and shuts in 2 s. Pressed anew just as the turn has run out, it stays open for
another turn: a tick until the turn begins, 5 s of it, and 2 s until the gate is shut, 7.1 s in all.
"""

from dataclasses import replace

from tests.design.make import design
from verifier.design.bounds import Measure
from verifier.engines.contract import Asked, Budget, Task
from verifier.engines.decide import Decider, Effort
from verifier.engines.ways import Ways
from verifier.logic.judge import Case, judge
from verifier.system.cone import cone
from verifier.system.lower import lower
from verifier.system.model import Question, System
from verifier.verdict import rules
from verifier.verdict.answer import Away, Margin, Outcome, Reach, Verdict
from verifier.verdict.evidence import Invariant, Trapped

NOOK = """design nook {{
  tick {}
  mains : supply(2)
  go : button
  turn : pulse(5 s)
  gate : door(opens: 2 s, shuts: 2 s)
  mains -> turn -> gate
  turn.start when go and not turn.on
  claim c: always possible gate.shut within {}
}}
"""
LAMP = """design yard {{
  tick 100 ms
  mains : supply(2)
  lamp : flasher(lit: 1 s, dark: 5 s)
  mains -> lamp
  claim c: always possible lamp.on within {}
}}
"""


def system_of(text: str, *words: str) -> System:
    return lower(design(text.format(*words)))


def asked_of(system: System) -> Question:
    return next(one for one in system.questions if one.name == "c")


def answered(system: System) -> Outcome:
    return Decider(system, Effort()).decide(asked_of(system))


def farthest(ticks: int, limit: int) -> tuple[Margin, ...]:
    return (Margin(Measure.FARTHEST, ticks, limit, exact=True),)


def test_the_run_leads_to_where_it_is_farthest() -> None:
    for limit in (30, 70):
        outcome = answered(system_of(NOOK, "100 ms", f"{limit * 100} ms"))
        assert (outcome.verdict, outcome.away) == (Verdict.FAILS, Away(71, exact=True))
        assert outcome.margins == farthest(71, limit)
        assert outcome.reason == "after this it takes 7.1 s at the least"
        assert outcome.trace is not None
        assert outcome.trace.length == 52
    outcome = answered(system_of(NOOK, "100 ms", "7100 ms"))
    assert (outcome.verdict, outcome.reach) == (Verdict.HOLDS, Reach.FOREVER)
    assert outcome.margins == farthest(71, 71)


def test_the_only_run_is_cut_where_its_longest_wait_begins() -> None:
    outcome = answered(system_of(LAMP, "3 s"))
    assert (outcome.away, outcome.lasso) == (Away(50, exact=True), None)
    assert outcome.margins == farthest(50, 30)
    assert outcome.trace is not None
    assert outcome.trace.length == 11
    held = answered(system_of(LAMP, "5 s"))
    assert held.verdict is Verdict.HOLDS
    assert held.margins == farthest(50, 50)


def test_where_states_are_too_many_zones_show_that_it_is_too_far_away() -> None:
    """At a tick of 1 ms there are too many states to try; how far at the most is not known then."""
    system = system_of(NOOK, "1 ms", "5 s")
    asked = asked_of(system)
    part = cone(system, [asked.goal])
    task = Task(part, asked, Asked.OPEN, asked.goal, None, seed=0)
    found = Ways().run(task, Budget.of(4.0, patience=60.0))
    assert isinstance(found, Trapped)
    assert isinstance(found.inside, Invariant)
    assert found.beyond == 5000
    case = Case.of(system, asked, Asked.OPEN)
    judged = judge(case, found, Effort().judge)
    assert judged.ruling.sound
    outcome = rules.said(system, asked, Asked.OPEN, found, judged.seen)
    assert (outcome.away, outcome.margins) == (Away(5001, exact=False), ())
    further = replace(found, beyond=7002)
    assert not judge(case, further, Effort().judge).ruling.sound
