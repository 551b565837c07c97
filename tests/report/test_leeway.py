"""How far settings may go, in words: ends of ranges, what lies beyond them, what is not known."""

from dataclasses import replace

import pytest

from tests.report.make import paper, trace
from tests.tuning.make import rig_of
from verifier.report.clock import Clock
from verifier.report.dialled import how_it_fails
from verifier.report.leeway import write_margins
from verifier.tuning.dials_rig import NO_DESIGN, Rig, question
from verifier.tuning.margins import Margins, Room, Side, Slack
from verifier.tuning.margins_line import Edge
from verifier.verdict.answer import Outcome, Reach, Verdict
from verifier.verdict.trace import Lasso

TEXT = """\
design post {
  tick 100 ms
  setting burns = 4 s tunable 1 s .. 20 s
  hand  : button
  glow  : pulse(burns)
  mains : supply(2)
  mains -> glow
  hand -> glow.start
  claim enough: glow.on lasts at least 4 s
  claim saving: glow.on lasts at most 5 s
}
"""
RIG = rig_of(TEXT)
CLOCK = Clock(100_000_000)
HOLDS = Outcome(Verdict.HOLDS, Reach.FOREVER)
UNKNOWN = Outcome(Verdict.UNKNOWN, reason="time was up")
SHORT = trace(RIG.made((30,)), (1, {"hand.hand": 1}), (31, {}))
FAILS = Outcome(Verdict.FAILS, trace=SHORT)
ALL = (("enough", HOLDS), ("saving", HOLDS))
BELOW = Side(40, Edge(30, "enough", FAILS))
ABOVE = Side(200, None)
ROOM = Room(0, BELOW, ABOVE, (), ())


def told(found: Margins, rig: Rig = RIG) -> str:
    board, stream = paper(100)
    write_margins(board, rig, found, 100_000_000)
    return " ".join(stream.getvalue().split())


@pytest.mark.parametrize(
    ("outcome", "words"),
    [
        (UNKNOWN, "`enough` is not known to hold (time was up)"),
        (FAILS, "`enough` fails at 3.1 s"),
        (Outcome(Verdict.FAILS, lasso=Lasso(SHORT, 1)), "`enough` fails: a run waits for ever"),
        (Outcome(Verdict.FAILS), "`enough` fails"),
        (Outcome(Verdict.HOLDS, Reach.UP_TO, 30), "`enough` is known to hold up to 3 s only"),
        (Outcome(Verdict.FAILS, reason=NO_DESIGN), f"`enough` fails: {NO_DESIGN}"),
    ],
)
def test_how_a_claim_fails(outcome: Outcome, words: str) -> None:
    assert how_it_fails(question(RIG.made((40,)), "enough"), outcome, CLOCK) == words


def test_the_room_of_a_setting_with_the_run_below_it() -> None:
    text = told(Margins((40,), ALL, (ROOM,), None))
    assert "for the 2 claims that hold now to hold on: burns 4 s .. 20 s now 4 s" in text
    assert "Every value in between is proved. With `burns` = 3 s, `enough` fails at 3.1 s." in text
    assert "0.1 s ▸ hand is let go glow starts (3 s) 3.1 s glow has run out" in text
    assert text.endswith("burns: 20 s is the end of its range.")


def test_a_setting_that_may_not_move() -> None:
    stuck = replace(ROOM, high=Side(40, Edge(41, "saving", UNKNOWN)))
    text = told(Margins((40,), (*ALL[:1], ("saving", UNKNOWN)), (stuck,), None))
    assert text.count("Left out: as it stands `saving` is not known to hold (time was up).") == 1
    assert "for the claim that holds now to hold on: burns 4 s only now 4 s" in text
    assert text.endswith("With `burns` = 4.1 s, `saving` is not known to hold (time was up).")


def test_a_range_of_ours_is_not_called_that_of_the_design() -> None:
    free = rig_of(TEXT.replace(" tunable 1 s .. 20 s", ""), every=True)
    room = replace(ROOM, high=Side(160, None))
    text = told(Margins((40,), ALL, (room,), None), free)
    assert text.endswith("burns: looked at no further than 16 s; --turn says how far to look.")


def test_how_the_values_in_between_are_known() -> None:
    text = told(Margins((40,), ALL, (replace(ROOM, until=("saving",), alike=("enough",)),), None))
    assert (
        "Every value in between is proved; saving up to a time only; enough by runs of one shape,"
        " replayed at some values." in text
    )


def test_only_a_few_runs_are_shown() -> None:
    text = told(Margins((40,), ALL, (replace(ROOM, high=BELOW),) * 3, None))
    assert text.count("`enough` fails at 3.1 s.") == 6
    assert text.count("someone presses hand") == 4


# --- all spans at once ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("slack", "words"),
    [
        (
            Slack(0, 0, None, (), widens=False),
            "All spans at once: the design has none that a tolerance would widen.",
        ),
        (
            Slack(0, 50, None, (), widens=True),
            "All spans of parts may be off by up to 50 % at once. It was not looked further.",
        ),
        (
            Slack(0, 50, None, (), widens=True, exact=("glass", "one.left")),
            (
                "All spans that a tolerance widens may be off by up to 50 % at once. Taken as"
                " exact: spans that timers start with or are turned over with, of glass, one.left."
                " It was not looked further."
            ),
        ),
        (
            Slack(3, 7, Edge(8, "enough", Outcome(Verdict.FAILS)), ("saving",), widens=True),
            (
                "All spans of parts may be off by up to 7 % at once (now 3 %)."
                " Up to a time only: saving. With 8 %, `enough` fails."
            ),
        ),
        (
            Slack(0, 7, Edge(8, "enough", UNKNOWN), (), widens=True),
            (
                "All spans of parts may be off by up to 7 % at once, as far as is known."
                " With 8 %, `enough` is not known to hold (time was up)."
            ),
        ),
        (
            Slack(0, 0, Edge(1, "enough", UNKNOWN), (), widens=True),
            (
                "By how much the spans of parts may be off is not known."
                " With 1 %, `enough` is not known to hold (time was up)."
            ),
        ),
        (
            Slack(0, 0, Edge(1, "enough", FAILS), (), widens=True),
            "The spans of parts may not be off by even 1 %. With 1 %, `enough` fails at 3.1 s.",
        ),
    ],
)
def test_the_slack_of_all_spans(slack: Slack, words: str) -> None:
    assert words in told(Margins((40,), ALL, (), slack))
