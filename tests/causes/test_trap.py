"""Traps: what can never be again is so in every state inside, and would set people free."""

from dataclasses import replace

import pytest

from tests.report.make import answer, question, system, trace
from verifier.causes.trap import explain_trap
from verifier.report.story import story
from verifier.system.state import start_of
from verifier.verdict.answer import Outcome, Reach, Verdict
from verifier.verdict.trace import Trace

CELL = """\
design cell {
  tick 500 ms
  rooms hall, cell
  passage hall <-> cell when gate.open
  walker guest starts in hall
  inside : plate(room: hall)
  mains  : supply(2)
  gate   : door(opens: 500 ms, shuts: 500 ms)
  mains -> gate
  inside -> gate.told
  claim away: always possible guest is in hall
  claim inner: always possible guest is in cell
}
"""
WHERE = system(CELL)
CAUGHT = trace(WHERE, (2, {}), (1, {"guest.sets_out": 1}), (1, {}))


def test_the_gate_that_nobody_can_open_any_more_is_named() -> None:
    found = explain_trap(WHERE, question(WHERE, "away"), CAUGHT)
    assert found is not None
    assert {("inside.out", True), ("gate.open", True)} <= {(n.path, n.live) for n in found.never}
    assert len(found.acts) == 1


def test_what_is_still_within_reach_is_no_trap() -> None:
    assert explain_trap(WHERE, question(WHERE, "inner"), CAUGHT) is None
    told = story(WHERE, answer(WHERE, "inner", Outcome(Verdict.FAILS, trace=CAUGHT)))
    assert told is not None
    assert told.needs == ()
    assert told.events[-1].words == "inner is out of reach from here on"


def test_the_story_of_a_trap_says_what_shuts_it() -> None:
    outcome = Outcome(Verdict.FAILS, Reach.FOREVER, trace=CAUGHT)
    told = story(WHERE, answer(WHERE, "away", outcome))
    assert told is not None
    assert told.needs == (
        "From 2.0 s on, whatever anyone does, inside is never live and gate is never open.",
        "If one of them were otherwise, there would be a way.",
        "Without the one act there would still be a way.",
    )


def test_without_a_step_that_is_one_of_a_row_there_would_be_a_way() -> None:
    row = system("""\
design row {
  tick 500 ms
  rooms hall, stair, cell
  passage hall <-> stair
  passage stair -> hall
  passage stair -> cell
  walker guest starts in hall
  claim away: always possible guest is in hall
}
""")
    run = trace(row, (1, {"guest.sets_out": 1}), (1, {"guest.sets_out": 3}))
    found = explain_trap(row, question(row, "away"), run)
    assert found is not None
    assert [one.start for one in found.acts] == [0, 1]
    # Held on in the cell, where there is no way out: no act.
    held = trace(row, (1, {"guest.sets_out": 1}), (3, {"guest.sets_out": 3}))
    near = explain_trap(row, question(row, "away"), held)
    assert near is not None
    assert [(one.start, one.stop) for one in near.acts] == [(0, 1), (1, 2)]


def test_a_trap_that_one_can_be_left_in_is_told_by_what_was_kept() -> None:
    cellar = system("""\
design cellar {
  tick 500 ms
  rope  : button
  mains : supply(2)
  lid   : door(opens: 500 ms, shuts: 500 ms)
  keep wedged: flag
  wedged becomes yes when lid.open
  mains -> lid
  lid.told when rope and not wedged
  claim opens: from anywhere: always possible lid.open
}
""")
    at_first = question(cellar, "opens")
    assert at_first.anywhere
    start = start_of(cellar)
    place = [one.name for one in cellar.registers].index("wedged")
    wedged = replace(
        start,
        registers=tuple(live or n == place for n, live in enumerate(start.registers)),
    )
    run = Trace((), wedged)
    told = story(cellar, answer(cellar, "opens", Outcome(Verdict.FAILS, trace=run)))
    assert told is not None
    assert told.events[0].words == "at first wedged is live"
    assert told.needs[0].startswith("From 0.0 s on, whatever anyone does, wedged is always live")
    assert told.needs[1:] == ("If one of them were otherwise, there would be a way.",)
    assert explain_trap(cellar, at_first, Trace((), start)) is None


VAULT = system("""\
design vault {
  tick 100 ms
  one : button
  two : button
  bolt : lever
  keep shut: flag
  shut becomes yes when one and bolt or two
  claim away: always possible not shut
}
""")
ONE, TWO, BOLT = {"one.hand": 1}, {"two.hand": 1}, {"bolt.hand": 1}


@pytest.mark.parametrize(
    ("steps", "last"),
    [
        (((1, TWO), (1, {})), "Without the one act there would still be a way."),
        (
            ((1, BOLT), (2, {}), (1, ONE), (1, {})),
            "Without any one of the 2 acts there would still be a way.",
        ),
        (
            ((1, ONE), (4, {}), (1, BOLT), (2, {}), (1, ONE), (1, {})),
            "Without one at 0.8 s there would still be a way.",
        ),
        (
            ((1, BOLT), (2, {}), (1, ONE | TWO), (1, {})),
            "If it were otherwise, there would be a way.",
        ),
    ],
)
def test_acts_are_blamed_only_where_it_would_help_to_leave_one_out(
    steps: tuple[tuple[int, dict[str, int]], ...], last: str
) -> None:
    run = trace(VAULT, *steps)
    told = story(VAULT, answer(VAULT, "away", Outcome(Verdict.FAILS, trace=run)))
    assert told is not None
    assert "whatever anyone does, shut is always live." in told.needs[0]
    assert told.needs[-1] == last
