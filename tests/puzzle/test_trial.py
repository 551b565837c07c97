"""Trials: intervals of a share, a player whose chances are known, the same games on any cores."""

from math import isclose

import pytest

from tests.outside.desk import goal as published
from tests.puzzle.desk import asked
from verifier.engines.decide import Effort
from verifier.puzzle.goal import Goal
from verifier.puzzle.player import Habits, interval, play
from verifier.puzzle.space import Space
from verifier.puzzle.trial import Size, hold_trial, size_of

EFFORT = Effort(seconds=1.0)


@pytest.mark.parametrize(
    ("met", "played", "low", "high"),
    [
        # R. G. Newcombe, "Two-sided confidence intervals for the single proportion: comparison of
        # seven methods", Statistics in Medicine 17, 1998, table I, method 3 (from memory).
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0000, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_intervals_are_those_of_the_handbook(
    met: int, played: int, low: float, high: float
) -> None:
    found = interval(met, played)
    assert isclose(found[0], low, abs_tol=5e-5)
    assert isclose(found[1], high, abs_tol=5e-5)


def test_all_and_none_reach_the_ends() -> None:
    assert interval(0, 9)[0] == 0
    assert interval(9, 9)[1] == 1


ONE = "design one {\n  tick 1 s\n  free hand: signal\n}\n"


@pytest.mark.parametrize("every", [1, 3, 20])
def test_the_first_act_comes_as_a_geometric_gap_does(every: int) -> None:
    within = 2 * every
    found = play(asked(ONE, "hand"), Habits(every, 1, within), 4000, "luck")
    low, high = interval(len(found.met), found.played)
    # At each tick, 0 to `within`, an act is as likely as at any other.
    assert low <= 1 - (1 - 1 / every) ** (within + 1) <= high
    assert max(found.met) <= within


CHOICE = """\
design choice {
  tick 1 s
  free hand: one of (none, left, right, middle)
  keep first: one of (nothing, good, bad)
  first becomes good when first is nothing and hand is left,
    bad when first is nothing and hand is not none
}
"""


def test_an_act_is_drawn_from_all_that_make_a_difference() -> None:
    found = play(asked(CHOICE, "first is good"), Habits(2, 1, 40), 2000, "luck")
    low, high = interval(len(found.met), found.played)
    assert low <= 1 / 3 <= high


def test_a_closed_passage_and_a_lever_out_of_reach_are_not_tried() -> None:
    text = """\
design walk {
  tick 1 s
  rooms lawn, hall, vault
  passage lawn -> hall
  passage lawn -> vault when bolt
  walker guest starts in lawn
  bolt : lever(room: hall)
}
"""
    found = play(asked(text, "guest is in hall"), Habits(5, 1, 500), 300, "luck")
    assert len(found.met) == 300


def test_a_press_is_held_for_a_while() -> None:
    text = "design held {\n  tick 1 s\n  free hand: signal\n  keep n: count 0 .. 3\n"
    text += "  n becomes 3 when n = 2 and hand, n + 1 when hand and n < 2, 0 when not hand\n}\n"
    goal = asked(text, "n = 3")
    # Held for three ticks or more: a chance of (1 - 1 / mean) ^ 2 for each press.
    found = play(goal, Habits(400, 4, 40_000), 300, "luck")
    often = len([tick for tick in found.met if tick < 800])
    assert len(found.met) == 300
    assert 0.55 < often / 300 < 0.85
    assert not play(goal, Habits(400, 1, 4_000), 50, "luck").met


def test_moves_against_the_rules_are_not_made() -> None:
    found = play(published("river", "in_time"), Habits(2, 1, 3000), 100, "luck")
    assert len(found.met) == 100


def test_spans_are_drawn_evenly() -> None:
    text = "design luck {\n  tick 1 s\n  keep left: timer = 9 s\n  keep went: flag\n"
    text += "  left loads 1 s .. 4 s when left = 9 s\n  went becomes yes when left ends\n}\n"
    found = play(asked(text, "left = 1 s"), Habits(1, 1, 9), 4000, "luck")
    shares = [found.met.count(tick) / 4000 for tick in range(1, 5)]
    assert sum(shares) == 1
    assert all(isclose(share, 0.25, abs_tol=0.03) for share in shares)


def test_games_do_not_hang_on_the_number_of_cores() -> None:
    goal = published("river", "in_time")
    habits = Habits(2, 1, 60)
    one, two = (hold_trial(goal, habits, 51, EFFORT, jobs) for jobs in (1, 2))
    assert one.games == two.games
    assert one.games is not None
    assert one.games.played == 51
    other = hold_trial(goal, habits, 51, Effort(seconds=1.0, seed=1), 2)
    assert one.games != other.games


def test_sizes_count_what_can_come_and_go_on() -> None:
    def size(goal: Goal) -> Size | None:
        return size_of(Space(goal.system, goal.node), EFFORT)

    assert size(published("river", "in_time")) == Size(10, 10)
    assert size(published("towers", "in_time", {"discs": "4"})) == Size(81, 81)
    text = "design timed {\n  tick 1 s\n  free hand: signal\n  keep left: timer\n"
    text += "  left loads 5 s when hand and left = 0 s\n}\n"
    # At 0, at 5 s and at 1 s: in between nobody matters.
    assert size(asked(text, "left = 1 s and hand")) == Size(3, 1)


def test_where_there_is_no_way_nobody_plays() -> None:
    found = hold_trial(
        asked(CHOICE, "first is good and hand is left and hand is right"),
        Habits(2, 1, 9),
        10,
        EFFORT,
        1,
    )
    assert found.quickest.none
    assert found.games is None
