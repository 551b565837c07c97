"""What can be done without, in words: the tally, orders, smallest sets, what is not known."""

from dataclasses import replace

import pytest

from tests.puzzle.desk import asked
from tests.report.make import paper, trace
from verifier.engines.decide import Effort
from verifier.puzzle.bypass import Bypass, Row, Way, bypass
from verifier.puzzle.bypass_ask import Found
from verifier.puzzle.bypass_sets import Sets
from verifier.puzzle.moves import Deeds, Made, Move
from verifier.puzzle.orders import Orders, Pair
from verifier.puzzle.route import Route
from verifier.report.bypass import known, tally, told_steps, write_bypass
from verifier.report.route import Teller

PAIR = asked(
    """\
design pair {
  tick 1 s
  first : lever
  second : lever
  third : lever
}
""",
    "first and second",
)
FOUND = bypass(PAIR, Effort(1.0))
FIRST, SECOND, THIRD = (row.element for row in FOUND.rows)
PROVED = Found(None, engine="every state", by=("the simulator",))
OPEN = Found(None, reason="time was up")
NEEDED, UNSURE = Row(FIRST, None, PROVED), Row(SECOND, None, OPEN)
FREE = Row(THIRD, 0, Found(FOUND.ways[0].route))


def told(found: Bypass, columns: int = 100) -> list[str]:
    board, stream = paper(columns)
    write_bypass(board, found)
    return stream.getvalue().splitlines()


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ((), "the goal comes of itself: there is nothing that people could do for it"),
        ((NEEDED,), "there is no way round: the goal needs the one thing there is"),
        ((NEEDED, NEEDED), "there is no way round: the goal needs each of 2 things"),
        ((FREE,), "the goal can be reached without the one thing there is"),
        ((FREE, NEEDED), "the goal can be reached without 1 of 2 things"),
        ((FREE, UNSURE), "the goal can be reached without 1 of 2 things; of 1 it is not known"),
        ((NEEDED, UNSURE), "the goal needs 1 of 2 things; of 1 it is not known"),
        ((UNSURE,), "it is not known whether the goal needs the one thing there is"),
        ((UNSURE, UNSURE), "it is not known whether the goal needs any of 2 things"),
    ],
)
def test_tally(rows: tuple[Row, ...], words: str) -> None:
    assert tally(replace(FOUND, rows=rows)) == words


def test_a_goal_that_comes_of_itself_has_no_table() -> None:
    alone = asked(
        "design sky {\n  tick 1 s\n  sun : daylight(day: 3 s, night: 2 s)\n}\n", "not sun"
    )
    assert told(bypass(alone, Effort(1.0)))[1:] == [
        "the goal comes of itself: there is nothing that people could do for it",
        "",
        "way 1  takes 3 s (the quickest of all): wait",
    ]


def test_how_each_is_known() -> None:
    assert known(NEEDED) == "proved (every state, the simulator)"
    assert known(UNSURE) == "time was up"
    assert known(FREE) == "way 1 does without"


def test_what_finds_no_room_beside_stands_below() -> None:
    long = Row(SECOND, None, Found(None, reason="a reason that is longer than the line is wide"))
    lines = told(replace(FOUND, rows=(long,)), 40)
    at = next(n for n, line in enumerate(lines) if line.startswith("  second"))
    assert lines[at].split() == ["second", "lever", "unknown"]
    assert "".join(lines[at + 1 : at + 4]).split() == long.found.reason.split()


def test_a_long_way_is_cut() -> None:
    made = [Made(n, Move(0, n % 2), 1) for n in range(17)]
    words = told_steps(Teller(PAIR.system), Deeds(tuple(made), ()))
    assert words.endswith("15 s move first; 1 move more")
    assert told_steps(Teller(PAIR.system), Deeds((), ())) == "wait"


def route() -> Route:
    run = trace(PAIR.system, (1, {"second.hand": 1}), (1, {"first.hand": 1}))
    return Route(run, Deeds((Made(0, Move(1, 1), 1), Made(1, Move(0, 1), 1)), ()))


def ordered(*founds: Found, left_out: int = 0) -> list[str]:
    pairs = tuple(Pair(FIRST, SECOND, one) for one in founds)
    found = replace(FOUND, orders=Orders((FIRST, SECOND), pairs, left_out), sets=None)
    lines = told(found)
    last = next(n for n, line in enumerate(lines) if line.startswith("way 1"))
    return lines[last + 2 : -3]


def test_orders() -> None:
    assert ordered(PROVED) == [
        "Every way uses these in this order (or two in the same instant):",
        "  first, then second",
    ]
    assert ordered(Found(route())) == [
        "These may change places:",
        "  second, then first: 0 s move second; 1 s move first",
    ]
    assert ordered(OPEN) == ["  whether first and second may: not known"]


@pytest.mark.parametrize(("left_out", "were"), [(1, "1 more was"), (2, "2 more were")])
def test_orders_that_were_not_looked_at(left_out: int, were: str) -> None:
    assert ordered(PROVED, left_out=left_out)[-1] == f"  {were} not looked at."


def sets(one: Sets) -> list[str]:
    lines = told(replace(FOUND, orders=None, sets=one))
    last = next(n for n, line in enumerate(lines) if line.startswith("way 1"))
    return lines[last + 2 : -3]


def test_smallest_sets() -> None:
    assert sets(Sets(((),), complete=True)) == [
        "What is needed is enough: nothing else has to be used."
    ]
    some = sets(Sets(((FIRST,), (SECOND, THIRD)), complete=True))
    assert "nothing in it too much; every state was tried" in some[0]
    assert some[-2:] == ["  1. first", "  2. second, third"]
    many = sets(Sets(((FIRST,),) * 9, complete=False))
    assert "there may be more" in " ".join(many)
    assert many[-1] == "  1 more"


def test_sets_that_were_not_found_out_are_not_said_to_be_needless() -> None:
    assert sets(Sets((), complete=False)) == ["Of which sets one is enough was not found out."]


def test_a_way_that_is_not_the_quickest_is_not_called_so() -> None:
    two = replace(FOUND, ways=(*FOUND.ways, Way(route(), {})))
    lines = [line for line in told(two) if line.startswith("way ")]
    assert lines[0].startswith("way 1  takes 1 s (the quickest of all): ")
    assert lines[1] == "way 2  takes 1 s: 0 s move second; 1 s move first"
