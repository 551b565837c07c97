"""How hard a puzzle is, in words."""

from dataclasses import replace

import pytest

from tests.puzzle.desk import asked
from tests.report.make import paper, trace
from verifier.puzzle.moves import Deeds, Made, Move
from verifier.puzzle.player import Games, Habits
from verifier.puzzle.route import Others, Route, Routed
from verifier.puzzle.space_paths import Order
from verifier.puzzle.trial import Size, Trial
from verifier.report.plain_data import Json
from verifier.report.trial import size, write_trial
from verifier.report.trial_record import trial_record
from verifier.verdict.answer import Outcome, Verdict

GOAL = asked("design d {\n  tick 1 s\n  hand : button\n}\n", "hand")
ROUTE = Route(trace(GOAL.system, (1, {"hand.hand": 1})), Deeds((Made(0, Move(0, 1), 1),), ()))
BEST = Routed(GOAL, Order.TIME, Outcome(Verdict.HOLDS), ROUTE, proved=True, states=3)
TRIAL = Trial(GOAL, Habits(2.0, 0.4, 300), BEST, BEST, Size(3, 2), Games(4, (1, 2, 9)))


def told(found: Trial) -> str:
    board, stream = paper(100)
    write_trial(board, found)
    return " ".join(stream.getvalue().split())


def recorded(found: Trial, name: str) -> Json:
    record = trial_record(found)
    assert isinstance(record, dict)
    return record[name]


@pytest.mark.parametrize(
    ("counted", "words"),
    [
        (None, "too large to be counted"),
        (Size(1, 1), "1 state that matters"),
        (Size(4, 4), "4 states that matter"),
        (Size(2048, 1), "2,048 states that matter, 1 situation but for the timers"),
    ],
)
def test_the_size_of_the_space(counted: Size | None, words: str) -> None:
    assert size(replace(TRIAL, size=counted)) == words


@pytest.mark.parametrize(
    ("best", "words"),
    [
        (BEST, "quickest 0 s, with 1 move; proved"),
        (replace(BEST, proved=False), "with 1 move; every state was tried"),
        (replace(BEST, proved=False, states=0), "with 1 move; the best that was found"),
        (replace(BEST, others=Others(2, 2, ())), "with 1 move, 2 ways; proved"),
        (replace(BEST, others=Others(None, None, ())), "with 1 move; proved"),
    ],
)
def test_how_sure_it_is(best: Routed, words: str) -> None:
    assert words in told(replace(TRIAL, quickest=best))


def test_a_way_that_is_not_known() -> None:
    open_ = replace(
        BEST, route=None, outcome=Outcome(Verdict.UNKNOWN, reason="time was up"), states=0
    )
    found = replace(TRIAL, quickest=open_, fewest=open_, games=None)
    assert "quickest not known: time was up space 3 states" in told(found)
    assert "at random" not in told(found)
    assert recorded(found, "quickest") is None


@pytest.mark.parametrize(
    ("games", "words"),
    [
        (
            Games(4, (9, 1, 2)),
            (
                "75.0 % (30.1 % .. 95.4 %) get through within 5 min: 3 of 4 games;"
                " half of those by 2 s"
            ),
        ),
        (Games(1, (7,)), "get through within 5 min: 1 of 1 game; half of those by 7 s"),
        (Games(2000, ()), "0.0 % (0.0 % .. 0.2 %) get through within 5 min: 0 of 2,000 games Who"),
    ],
)
def test_games(games: Games, words: str) -> None:
    """The intervals by E. B. Wilson (JASA 22, 1927), worked out by hand."""
    assert words in told(replace(TRIAL, games=games))


def test_no_game_was_played() -> None:
    assert "get through" not in told(replace(TRIAL, games=Games(0, ())))
    assert recorded(replace(TRIAL, games=Games(0, ())), "player") is None


def test_habits_are_never_shorter_than_a_tick() -> None:
    assert "acts every 2 s on average" in told(TRIAL)
    assert "lets go of a press after 1 s on average" in told(TRIAL)
