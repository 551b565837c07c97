"""Endless runs in words: how they go on, and what everybody waits for."""

import pytest

from tests.report.make import answer, system, trace
from verifier.report.story import story
from verifier.verdict.answer import Outcome, Verdict
from verifier.verdict.trace import Lasso

CELLS = system("""\
design cells {
  tick 100 ms
  rooms hall, cell
  passage hall -> cell when gate.open or free_way takes 1 s
  walker guest starts in hall
  keep free_way: flag
  free_way becomes yes when ask
  ask   : button
  mains : supply(2)
  ready : latch
  gate  : door(opens: 1 s, shuts: 1 s)
  opens : pulse(3 s)
  mains -> opens -> gate
  opens.start when ask and ready
  keep rest: timer
  rest loads 2 s when ask
  claim comes: eventually guest is in cell
  claim opens_up: eventually gate.open
  claim runs: eventually rest > 0 s
}
""")


@pytest.mark.parametrize(
    ("claim", "last", "needs"),
    [
        (
            "runs",
            "and so on for ever: rest does not run",
            ("Nothing starts rest: nobody works ask.", "Nothing changes any more."),
        ),
        (
            "opens_up",
            "and so on for ever: gate is not open",
            ("Nothing changes any more.",),
        ),
    ],
)
def test_who_waits_for_what(claim: str, last: str, needs: tuple[str, ...]) -> None:
    rest = trace(CELLS, (2, {}))
    told = story(CELLS, answer(CELLS, claim, Outcome(Verdict.FAILS, lasso=Lasso(rest, 1))))
    assert told is not None
    assert told.events[-1].words == last
    assert told.needs == needs


def test_nobody_waits_for_where_they_are() -> None:
    rest = trace(CELLS, (1, {"ask.hand": 1}), (30, {}))
    told = story(CELLS, answer(CELLS, "comes", Outcome(Verdict.FAILS, lasso=Lasso(rest, 29))))
    assert told is not None
    assert told.events[-1].words == "and so on for ever: guest is in hall"
    assert "guest stays there: guest need not go on." in told.needs
    shut = trace(CELLS, (2, {}))
    told = story(CELLS, answer(CELLS, "comes", Outcome(Verdict.FAILS, lasso=Lasso(shut, 1))))
    assert told is not None
    assert not any("guest stays there: guest is in hall" in one for one in told.needs)
