"""Spans that can come out in very many ways at once: every search keeps to its effort."""

import pytest

from tests.outside.desk import system_of
from tests.puzzle.desk import asked
from verifier.causes.trap import MOST_LOOKS, look_round
from verifier.engines.bounded import Bounded
from verifier.engines.contract import Asked, Budget, Task
from verifier.engines.decide import Effort
from verifier.engines.explicit import Explicit
from verifier.puzzle.route import find_route
from verifier.puzzle.space import Space
from verifier.puzzle.space_paths import Order
from verifier.puzzle.stuck_space import explore
from verifier.simulate.machine import MOST_DRAWS, TooManyDrawsError, machine
from verifier.system.cone import cone
from verifier.verdict.answer import Verdict
from verifier.verdict.evidence import Reaches, Stopped, Why

TEXT = """\
design wide {
  tick 10 ms
  free hand: signal
  keep one: timer
  keep two: timer
  keep three: timer
  one loads 1 s .. SPAN when hand starts
  two loads 1 s .. SPAN when hand starts
  three loads 1 s .. SPAN when hand starts
CLAIM}
"""
GOAL = "one ends and two ends and three ends"
WIDE = TEXT.replace("SPAN", "60 s")
NARROW = TEXT.replace("SPAN", "1050 ms")
CLAIM = f"  claim all: possible {GOAL}\n"


def test_all_ways_in_which_spans_come_out() -> None:
    system = system_of(NARROW.replace("CLAIM", CLAIM))
    follower = machine(cone(system, [system.questions[0].goal]), ())
    look = follower.look(*follower.start(), (1,))
    draws = list(follower.draws(look, MOST_DRAWS))
    assert len(draws) == len(set(draws)) == 6**3
    assert {follower.fitted(look, one) for one in draws} == {*draws}
    with pytest.raises(TooManyDrawsError, match="216 ways"):
        follower.draws(look, 215)
    assert len(list(follower.draws(look, 216))) == 216
    calm = follower.look(*follower.start(), (0,))
    assert list(follower.draws(calm, 1)) == [(-1, -1, -1)]


def test_no_span_is_beyond_all_ticks() -> None:
    """The one tick that counts comes a million millions after a press: jumps may not stop short."""
    text = """\
design far {
  tick 1 ms
  free hand: signal
  keep one: timer
  one loads 1100000000 s when hand starts and one = 0 s
  claim calm: never one = 1 ms
}
"""
    system = system_of(text)
    question = system.questions[0]
    part = cone(system, [question.bad])
    task = Task(part, question, Asked.BAD, question.bad, None, 0)
    found = Bounded(share=0.0).run(task, Budget.of(5.0))
    assert isinstance(found, Reaches)
    assert found.trace.length > 10**12


def test_searches_of_every_state_leave_it_to_others() -> None:
    goal = asked(WIDE.replace("CLAIM", ""), GOAL)
    budget = Budget.of(60.0)
    stopped = Space(goal.system, goal.node).explore(budget)
    assert isinstance(stopped, Stopped)
    assert stopped.why is Why.NOT_SUITED
    assert f"{5901**3 + 1} ways in one tick" in stopped.words  # one more: no press
    assert isinstance(explore(goal, budget), Stopped)
    part = cone(goal.system, [goal.node])
    task = Task(part, goal.question, Asked.GOAL, goal.node, None, 0)
    found = Explicit().run(task, budget)
    assert isinstance(found, Stopped)
    assert found.why is Why.NOT_SUITED


def test_engines_find_the_way_then() -> None:
    found = find_route(asked(WIDE.replace("CLAIM", ""), GOAL), Order.TIME, Effort())
    assert found.outcome.verdict is Verdict.HOLDS
    assert found.route is not None
    assert found.route.tick == 100


def test_a_look_around_a_trap_ends_too() -> None:
    system = system_of(WIDE.replace("CLAIM", f"  claim all: possible {GOAL} and not hand\n"))
    goal = system.questions[0].goal
    follower = machine(cone(system, [goal]), (goal, system.allowed))
    inside = look_round(follower, follower.start(), {})
    assert not inside.whole
    assert MOST_LOOKS < 5901**3
