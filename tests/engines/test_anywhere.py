"""Engines that play or try states begin with whatever can be kept, where that is asked."""

import pytest

from tests.report.make import system
from verifier.engines.contract import Asked, Budget, Engine, Task
from verifier.engines.endless import Endless
from verifier.engines.explicit import START, Explicit
from verifier.engines.walk import Walk
from verifier.engines.ways import Ways
from verifier.logic.judge import Case, judge
from verifier.logic.tick import Limits
from verifier.simulate.onward import completed
from verifier.system.model import System
from verifier.verdict.evidence import Circles, Explored, Reaches, Stopped, Trapped
from verifier.verdict.rules import shows_of, target_of
from verifier.verdict.trace import Lasso, Trace

TEXT = """\
design loft {
  tick 1 s
  keep worn: flag
  keep step: count 0 .. 3
  step becomes step + 1 when not worn and step < 3
  claim sound: from anywhere: never worn
  claim up: from anywhere: eventually step = 3
  claim open: from anywhere: always possible step = 3
  claim sound_at_first: never worn
  claim up_at_first: eventually step = 3
}
"""
LOFT = system(TEXT)
LIMITS = Limits(steps=10_000_000, seconds=20)


def task(system_: System, name: str, asked: Asked) -> tuple[Task, Case]:
    question = next(one for one in system_.questions if one.name == name)
    case = Case.of(system_, question, asked)
    return Task(case.cone, question, asked, target_of(question, asked), None, 0), case


def begun(trace: Trace) -> bool:
    """Whether a run begins with what is worn."""
    place = [one.name for one in LOFT.registers].index("worn")
    return trace.start is not None and trace.start.registers[place]


@pytest.mark.parametrize("engine", [Walk(), Walk(luck=1), Explicit()])
def test_a_run_begins_with_what_can_be_kept(engine: Engine) -> None:
    asked, case = task(LOFT, "sound", Asked.BAD)
    found = engine.run(asked, Budget.of(0.5))
    assert isinstance(found, Reaches)
    whole = completed(LOFT, found.trace)
    assert judge(case, Reaches(whole), LIMITS).ruling.sound
    assert begun(whole)
    asked, _ = task(LOFT, "sound_at_first", Asked.BAD)
    assert not isinstance(engine.run(asked, Budget.of(0.05)), Reaches)


@pytest.mark.parametrize("engine", [Endless(), Explicit()])
def test_an_endless_run_begins_with_what_can_be_kept(engine: Engine) -> None:
    asked, case = task(LOFT, "up", Asked.WAITING)
    found = engine.run(asked, Budget.of(0.5))
    assert isinstance(found, Circles)
    lasso = Lasso(completed(LOFT, found.lasso.trace), found.lasso.back_to)
    judged = judge(case, Circles(lasso), LIMITS)
    assert judged.ruling.sound
    assert judged.seen is not None
    assert judged.seen.always_in_loop
    assert begun(lasso.trace)
    asked, _ = task(LOFT, "up_at_first", Asked.WAITING)
    assert not isinstance(engine.run(asked, Budget.of(0.05)), Circles)


@pytest.mark.parametrize("engine", [Ways(), Explicit()])
def test_a_trap_can_be_where_a_run_begins(engine: Engine) -> None:
    asked, case = task(LOFT, "open", Asked.OPEN)
    found = engine.run(asked, Budget.of(2.0))
    assert isinstance(found, Trapped)
    whole = completed(LOFT, found.trace)
    assert judge(case, Trapped(whole, found.inside), LIMITS).ruling.sound
    assert begun(whole)


def test_a_list_of_states_from_anywhere_is_taken_by_the_judge() -> None:
    """Where nothing is worn for good, every start gets there."""
    mended = system(TEXT.replace("step < 3", "step < 3 or worn and step < 3"))
    for name, asked in (("up", Asked.WAITING), ("open", Asked.OPEN)):
        look, case = task(mended, name, asked)
        assert case.shows is shows_of(asked)
        found = Explicit().run(look, Budget.of(0.5))
        assert isinstance(found, Explored)
        assert judge(case, found, LIMITS).ruling.sound
        assert len(found.states) >= 8


def test_what_can_be_kept_in_too_many_ways_is_left_to_others() -> None:
    asked, _ = task(LOFT, "open", Asked.OPEN)
    found = Explicit(most=7).run(asked, Budget.of(0.5))
    assert isinstance(found, Stopped)
    assert found.words == "it can begin in more than 7 states"


def test_listing_what_can_be_kept_keeps_to_the_effort() -> None:
    """Each start is paid for, so no more of them are listed than the effort allows."""
    asked, _ = task(LOFT, "open", Asked.OPEN)
    little = Budget.of(START * 7.5)
    found = Explicit().run(asked, little)
    assert isinstance(found, Stopped)
    assert found.words == "it can begin in more than 7 states"
    assert START * 7 <= little.used <= START * 7.5
    enough = Budget.of(0.5)
    assert not isinstance(Explicit().run(asked, enough), Stopped)
    assert enough.used > START * 8
