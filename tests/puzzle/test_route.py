"""Routes: the best way, how it is known, all ways as short, two people, luck, and no way at all."""

from dataclasses import replace

import pytest

from tests.outside.desk import goal as published
from tests.puzzle.desk import asked
from verifier.engines.decide import Effort
from verifier.puzzle import route as module
from verifier.puzzle.luck import serves_at_ends
from verifier.puzzle.route import Routed, find_route
from verifier.puzzle.space import Space
from verifier.puzzle.space_paths import Order
from verifier.report.route import verdict
from verifier.verdict.answer import Verdict
from verifier.verdict.replay import replay
from verifier.verdict.ruling import unsure

EFFORT = Effort(seconds=2.0)


def names(found: Routed) -> list[tuple[int, str, int]]:
    """Return the moves of a route: tick, what is chosen, and to which option or room."""
    assert found.route is not None
    choices = found.goal.system.choices
    return [
        (made.tick, choices[made.move.choice].name, made.move.to)
        for made in found.route.deeds.moves
    ]


# Published answers; where each is from stands in tests/outside/test_puzzles.py and in the designs.


@pytest.mark.parametrize(
    ("name", "values", "moves", "ways"),
    [
        ("river", {}, 7, 2),  # classic, two ways (from memory)
        ("ferry", {}, 11, 4),  # four ways of three pairs (from memory)
        ("jugs", {}, 6, 1),
        ("rings", {"rings": "7"}, 85, 1),  # (2^8 - 1) / 3
        ("towers", {"discs": "6"}, 63, 1),  # 2^6 - 1
    ],
)
def test_fewest_moves_of_published_puzzles(
    name: str, values: dict[str, str], moves: int, ways: int
) -> None:
    found = find_route(published(name, "in_time", values), Order.MOVES, EFFORT, listed=3)
    assert found.route is not None
    # No proof for fewest moves: every state was tried.
    assert (found.best, found.proved) == (True, False)
    assert found.route.moves == moves
    assert found.others is not None
    assert found.others.count == ways
    assert len(found.others.listed) == min(ways, 3)


def test_the_bridge_takes_seventeen_minutes_in_two_ways() -> None:
    found = find_route(published("bridge", "in_time"), Order.TIME, EFFORT, listed=5)
    assert found.route is not None
    assert (found.route.tick, found.route.moves, found.proved) == (17, 5, True)
    assert found.others is not None
    assert (found.others.count, len(found.others.listed)) == (2, 2)


def test_no_way_is_proved_by_the_judge() -> None:
    found = find_route(published("ferry", "in_time", {"pairs": "4"}), Order.TIME, EFFORT)
    assert found.none
    assert found.outcome.by
    assert found.states == 66


def test_what_no_judge_has_accepted_is_not_called_proved(monkeypatch: pytest.MonkeyPatch) -> None:
    goal = published("bridge", "in_time")
    proved, tried = "proved: no way is quicker; ", "no way is quicker: every state was tried"
    assert list(verdict(find_route(goal, Order.TIME, EFFORT)))[1].startswith(proved)
    fewest = list(verdict(find_route(goal, Order.MOVES, EFFORT)))[1]
    assert fewest.startswith("no way takes fewer: every state was tried")
    monkeypatch.setattr(module, "none_by", lambda *_: unsure("too many"))
    found = find_route(goal, Order.TIME, EFFORT)
    assert (found.best, found.proved, found.outcome.earliest) == (True, False, False)
    assert list(verdict(found))[1].startswith(tried)


MAZE = """\
design maze {
  tick 500 ms
  rooms lawn, left, right, heart
  passage lawn <-> left
  passage lawn <-> right when gate.open
  passage right <-> heart when plate
  walker guest starts in lawn
  plate : plate(room: left)
  mains : supply(1)
  gate  : door(opens: 1 s, shuts: 1 s)
  mains -> gate
  plate -> gate.told
}
"""


def test_two_people_can_do_what_one_cannot() -> None:
    alone = find_route(asked(MAZE, "guest is in heart"), Order.TIME, EFFORT)
    assert alone.none
    two = find_route(asked(MAZE, "guest is in heart", 2), Order.TIME, EFFORT, listed=9)
    assert two.route is not None
    assert names(two) == [
        (0, "guest_2.sets_out", 1),
        (4, "guest.sets_out", 2),
        (5, "guest.sets_out", 3),
    ]
    assert two.route.tick == 6


def test_ways_that_differ_in_who_is_first_are_of_one_class() -> None:
    text = MAZE.replace(" when gate.open", "").replace(" when plate", "")
    goal = asked(text, "guest is in right and guest_2 is in left", 2)
    found = find_route(goal, Order.MOVES, EFFORT, listed=9)
    assert found.others is not None
    assert (found.others.count, found.others.classes) == (2, 1)


LOCK = """\
design lock {
  tick 500 ms
  one press at a time
  row[1..3] : lever
  hold  : off_delay(10 s)
  mains : supply(2)
  gate  : door(opens: 2 s, shuts: 2 s)
  mains -> hold -> gate
  hold.start when all of row
  claim soon: possible gate.open within 2 s
}
"""


def test_quickest_and_fewest_may_differ() -> None:
    text = """\
design ways {
  tick 1 s
  free hand: signal
  keep at: count 0 .. 9
  keep left: timer
  at becomes at + 1 when at < 9 and hand starts, 9 when left ends
  left loads 30 s when hand starts and at = 0
}
"""
    goal = asked(text, "at = 9")
    quick, few = (find_route(goal, order, EFFORT) for order in Order)
    assert quick.route is not None
    assert few.route is not None
    assert (quick.route.tick, quick.route.moves) == (17, 9)
    assert (few.route.tick, few.route.moves) == (31, 1)


def test_levers_may_be_moved_in_any_order() -> None:
    found = find_route(asked(LOCK, "soon"), Order.TIME, EFFORT, listed=4)
    assert found.route is not None
    assert (found.route.tick, found.route.moves) == (8, 3)
    assert found.goal.limit == 4
    assert found.others is not None
    assert (found.others.count, len(found.others.listed)) == (6, 4)


def test_a_press_is_told_where_it_matters() -> None:
    text = MAZE.replace("when gate.open", "when bolt").replace(
        "  plate : ", "  bolt : button(room: left)\n  plate : "
    )
    text = text.replace("passage right <-> heart when plate", "passage left -> heart when bolt")
    found = find_route(asked(text, "guest is in heart"), Order.TIME, EFFORT, listed=9)
    assert names(found) == [
        (0, "guest.sets_out", 1),
        (1, "bolt.hand", 1),
        (1, "guest.sets_out", 3),
    ]
    assert found.others is not None
    assert found.others.count == 1


def test_a_walk_in_a_circle_is_a_move_too() -> None:
    text = "design circle {\n  tick 1 s\n  rooms lawn\n  passage lawn -> lawn takes 3 s\n"
    text += "  walker guest starts in lawn\n  keep back: flag\n"
    text += "  back becomes yes when (guest is between lawn and lawn) ends\n}\n"
    found = find_route(asked(text, "back"), Order.TIME, EFFORT, listed=2)
    assert names(found) == [(0, "guest.sets_out", 0)]
    assert found.route is not None
    assert found.route.tick == 4


def test_spans_that_are_drawn_are_luck() -> None:
    text = "design luck {\n  tick 1 s\n  free hand: signal\n  keep left: timer\n"
    text += "  left loads 3 s .. 9 s when hand starts\n}\n"
    found = find_route(asked(text, "left ends"), Order.TIME, EFFORT)
    assert found.route is not None
    assert found.route.tick == 3
    (luck,) = found.route.deeds.luck
    assert (luck.ticks, luck.low, luck.high) == (3, 3, 9)


PULSED = """\
design pulsed {
  tick 500 ms
  rooms hall, cell, yard
  passage hall -> cell takes WALK
  passage cell -> yard when g.on takes 1 s
  walker guest starts in hall
  go : button(room: hall)
  m  : supply(2)
  g  : pulse(PULSE)
  m -> g
  go -> g.start
}
"""


@pytest.mark.parametrize(
    ("walk", "pulse", "serves"),
    [
        ("1 s", "2 s .. 4 s", True),
        ("1 s", "500 ms .. 4 s", False),  # shut by the time one is there
        ("1 s .. 2 s", "4 s", False),  # one is not there yet
        ("500 ms .. 1 s", "500 ms .. 4 s", False),  # each by itself would do
        ("1 s", "4 s", True),  # nothing is drawn
    ],
)
def test_whether_a_way_needs_luck_is_tried_at_the_ends(walk: str, pulse: str, serves: bool) -> None:
    goal = asked(PULSED.replace("WALK", walk).replace("PULSE", pulse), "guest is in yard")
    found = find_route(goal, Order.TIME, EFFORT)
    assert found.route is not None
    assert serves_at_ends(goal, found.route) is serves


# --- where there are too many states ------------------------------------------------------------


def test_engines_find_and_prove_the_quickest_where_states_are_too_many(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def few(*arguments: object, **named: object) -> Space:
        space = Space(*arguments, **named)  # type: ignore[arg-type] # as it is called
        space.most = 5
        return space

    monkeypatch.setattr(module, "Space", few)
    goal = asked(LOCK, "soon")
    found = find_route(goal, Order.TIME, replace(EFFORT, seconds=1.0), listed=2)
    assert found.route is not None
    assert (found.states, found.route.tick, found.proved) == (0, 8, True)
    assert found.others is not None
    assert found.others.count is None
    assert "more than 5 states" in found.others.why
    trace = found.route.trace
    assert replay(goal.system, trace, goal.node, anywhere=False).ruling.sound
    fewest = find_route(goal, Order.MOVES, replace(EFFORT, seconds=0.5))
    assert fewest.route is not None
    assert not fewest.proved


def test_many_ways_to_choose_are_left_to_engines() -> None:
    hands = "\n".join(f"  free hand{number}: signal" for number in range(12))
    every = ", ".join(f"hand{number}" for number in range(12))
    text = f"design many {{\n{hands}\n}}\n"
    found = find_route(asked(text, f"all of ({every})"), Order.TIME, replace(EFFORT, seconds=0.5))
    assert found.route is not None
    assert (found.route.tick, found.proved) == (0, True)
    never = find_route(asked(text, "hand0 and not hand0"), Order.TIME, EFFORT)
    assert never.outcome.verdict is Verdict.FAILS
