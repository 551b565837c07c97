"""Reasons beside events: who set it off, what had long been so, and which line says so."""

import pytest

from tests.report.make import VESTIBULE, answer, system, trace
from verifier.report.story import Story, story
from verifier.verdict.answer import Outcome, Verdict

WHERE = system(VESTIBULE)
APART = trace(WHERE, (1, {"ask_out.hand": 1, "ask_in.hand": 1}), (2, {}))
STAIRS = """\
design stairs {
  tick 100 ms
  foot  : button
  head  : button
  asked : or_gate
  foot -> asked.input[1]
  head -> asked.input[2]
  mains : supply(2)
  glow  : pulse(2 s)
  lit   : lamp
  mains -> glow -> lit
  asked -> glow.start
  claim c: lit lasts at least 3 s
  claim d: foot leads to not lit within 1 s
}
"""


def told(text: str, claim: str, *steps: tuple[int, dict[str, int]]) -> Story:
    where = system(text)
    run = trace(where, *steps)
    found = story(where, answer(where, claim, Outcome(Verdict.FAILS, trace=run, earliest=True)))
    assert found is not None
    return found


def lines(found: Story) -> list[tuple[int, str, str, int]]:
    return [(event.tick, event.words, event.reasons, event.line) for event in found.events]


def test_the_vestibule() -> None:
    found = told(VESTIBULE, "apart", (1, {"ask_out.hand": 1, "ask_in.hand": 1}), (2, {}))
    assert lines(found) == [
        (0, "someone presses ask_out and ask_in at once", "", 0),
        (1, "open_out starts (6 s)", "by ask_out, while inner is still shut", 14),
        (1, "open_in starts (6 s)", "by ask_in, while outer is still shut", 15),
        (2, "outer begins to open", "by open_out", 12),
        (2, "inner begins to open", "by open_in", 13),
        (2, "outer is ajar and inner is ajar", "", 0),
    ]
    assert found.needs == (
        "Both presses are needed.",
        "Fails whenever ask_in comes from 0.1 s before to 0.1 s after ask_out.",
        "Shortest possible.",
    )


CORRIDOR = """\
design corridor {
  tick 500 ms
  rooms hall, cell, yard
  passage hall -> cell takes 1 s
  passage cell -> yard when g.on takes 1 s
  walker guest starts in hall
  go : button(room: hall)
  m  : supply(2)
  g  : pulse(3 s)
  m -> g
  go -> g.start
  claim c: never guest is in yard
}
"""
GOES, WALKS = {"go.hand": 1, "guest.sets_out": 1}, {"guest.sets_out": 1}


def test_a_walker_sets_out_in_the_tick_of_the_choice_with_the_reasons_for_it() -> None:
    found = told(CORRIDOR, "c", (1, GOES), (1, {}), (1, WALKS), (2, {}))
    assert lines(found) == [
        (0, "someone presses go", "", 0),
        (0, "guest sets out from hall to cell", "", 0),
        (1, "g starts (3 s)", "by go", 11),
        (2, "guest is in cell", "", 0),
        (2, "guest sets out from cell to yard", "while g is on", 0),
        (4, "guest is in yard", "", 0),
    ]


@pytest.mark.parametrize("first", ["hall", "shed"])
def test_each_setting_out_is_an_act_whatever_the_order_of_passages(first: str) -> None:
    ways = ["  passage hall -> shed", "  passage hall -> cell takes 1 s"]
    if first == "hall":
        ways.reverse()
    text = CORRIDOR.replace("  passage hall -> cell takes 1 s", "\n".join(ways))
    exit_of = {"guest.sets_out": 1 if first == "hall" else 2}
    text = text.replace("rooms hall,", "rooms shed, hall,")
    found = told(text, "c", (1, GOES | exit_of), (1, {}), (1, WALKS), (2, {}))
    assert found.needs[0] == "Each of the 3 acts is needed."
    assert not any("press" in words for words in found.needs)


def test_a_walker_that_holds_its_choice_acts_when_it_sets_out() -> None:
    found = told(CORRIDOR, "c", (1, GOES), (1, WALKS), (1, WALKS), (2, {}))
    assert found.near is not None
    assert [(one.start, one.stop) for one in found.near.plan.presses] == [(0, 1), (0, 1), (2, 3)]
    assert found.needs[0] == "Each of the 3 acts is needed."
    assert "Fails whenever the second step of guest comes" in found.needs[1]


def test_gates_are_looked_through() -> None:
    found = told(STAIRS, "c", (1, {"head.hand": 1}), (21, {}))
    assert lines(found) == [
        (0, "someone presses head", "", 0),
        (1, "glow starts (2 s)", "by head", 12),
        (1, "lit goes live", "by glow", 11),
        (21, "glow has run out", "", 9),
        (21, "lit goes dead", "as glow gives nothing", 11),
        (21, "lit is not lit after 2 s, not the 3 s asked for", "", 0),
    ]


def test_a_press_that_must_be_held_says_for_how_long() -> None:
    found = told(STAIRS, "d", (5, {"foot.hand": 1}), (10, {}))
    assert lines(found)[0][1] == "someone presses foot and holds it for 0.5 s"
    assert lines(found)[-1][1] == "foot is live at 0.4 s; 1 s later still lit is lit"


@pytest.mark.parametrize("earliest", [True, False])
def test_shortest_possible_is_said_only_where_it_is_proved(*, earliest: bool) -> None:
    outcome = Outcome(Verdict.FAILS, trace=APART, earliest=earliest)
    found = story(WHERE, answer(WHERE, "apart", outcome))
    assert found is not None
    assert ("Shortest possible." in found.needs) is earliest
    assert ("The shortest run found." in found.needs) is not earliest


def test_a_run_of_many_presses_is_explained_without_trying_each() -> None:
    often = [(1, {"ask_out.hand": 1}), (120, {})] * 30
    both = (1, {"ask_out.hand": 1, "ask_in.hand": 1})
    found = told(VESTIBULE, "apart", *often, both, (2, {}))
    assert found.needs[0] == "Of its 32 acts none was left out to see: they are too many."
    assert lines(found)[-3][2].startswith("by open_out")


def test_a_timer_of_the_design_s_own_has_its_line_and_its_reasons() -> None:
    text = """\
design yard {
  tick 100 ms
  ask  : button
  bolt : lever
  keep rest: timer
  rest loads 2 s when ask and bolt
  claim c: never rest > 0 s
}
"""
    found = told(text, "c", (3, {"bolt.hand": 1}), (5, {}), (1, {"ask.hand": 1}), (1, {}))
    (starts,) = [one for one in found.events if one.words == "rest starts (2 s)"]
    assert (starts.reasons, starts.line) == ("by ask, while bolt is live", 5)
