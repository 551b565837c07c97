"""The space of a puzzle: moves, waits, rules, and what cannot go on."""

import pytest

from tests.puzzle.desk import asked
from verifier.engines.contract import Budget
from verifier.puzzle.moves import Move, deeds
from verifier.puzzle.space import Rules, Space, TooManyWaysError
from verifier.puzzle.space_paths import Nothing, Order, Path, best
from verifier.verdict.evidence import Stopped
from verifier.verdict.replay import replay

TOGGLE = """\
design lamp_post {
  tick 1 s
  free hand: one of (none, left, right)
  keep at: count 0 .. 4
  at becomes at + 1 when at < 4 and hand is left, at - 1 when at > 0 and hand is right
}
"""


def way(space: Space, order: Order = Order.MOVES) -> Path:
    found = best(space, order, Budget.of(5))
    assert isinstance(found, Path)
    trace = space.trace_of(found.edges)
    assert replay(space.system, trace, space.target, anywhere=False).ruling.sound
    assert trace.length == found.ticks + 1
    return found


def test_what_is_held_is_one_press() -> None:
    goal = asked(TOGGLE, "at = 3")
    found = way(Space(goal.system, goal.node))
    assert (found.moves, found.ticks) == (1, 3)


def test_letting_go_is_free_and_pressing_anew_is_not() -> None:
    text = TOGGLE.replace("hand is left,", "(hand is left) starts,")
    goal = asked(text, "at = 3")
    space = Space(goal.system, goal.node)
    found = way(space)
    assert (found.moves, found.ticks) == (3, 6 - 1)
    made = deeds(goal.system, goal.node, space.trace_of(found.edges)).moves
    assert [(one.tick, one.move, one.ticks) for one in made] == [
        (tick, Move(0, 1), 1) for tick in (0, 2, 4)
    ]


def test_one_option_after_the_other_is_two_presses() -> None:
    goal = asked(TOGGLE.replace("when at > 0", "when at = 4"), "at = 3 and hand is right")
    assert way(Space(goal.system, goal.node)).moves == 2


def test_the_press_of_the_goal_itself_counts() -> None:
    goal = asked(TOGGLE, "hand is right and at = 0")
    found = way(Space(goal.system, goal.node))
    assert (found.ticks, found.moves) == (0, 1)


SLOW = """\
design slow {
  tick 100 ms
  free hand: signal
  keep left: timer
  keep done: flag
  left loads 1 h when hand and left = 0 s
  done becomes yes when left ends
}
"""


def test_a_wait_in_which_nobody_matters_is_one_step() -> None:
    goal = asked(SLOW, "done")
    space = Space(goal.system, goal.node)
    found = way(space, Order.TIME)
    assert found.ticks == 36_001
    assert len(space) < 20
    assert max(edge.ticks for edge in found.edges) == 35_999


def test_a_wait_is_cut_where_a_choice_matters() -> None:
    text = SLOW.replace("left = 0 s", "left <= 30 min").replace("left ends", "hand and left ends")
    goal = asked(text, "done")
    assert way(Space(goal.system, goal.node), Order.TIME).ticks == 36_001


def test_a_load_that_shows_what_counting_shows_makes_a_difference() -> None:
    text = """\
design twins {
  tick 1 s
  free hand: signal
  keep left: timer = 5 s
  keep other: timer = 10 s
  left loads 4 s when hand and left > 3 s
}
"""
    goal = asked(text, "other = 0 s and left > 3 s")
    assert way(Space(goal.system, goal.node), Order.TIME).ticks == 10


def test_a_wait_ends_where_what_is_to_be_avoided_would_come() -> None:
    goal = asked(SLOW, "done")
    (left,) = (number for number, one in enumerate(goal.system.clocks) if one.name == "left")
    pool = goal.system.pool
    late = pool.and_(pool.above(left, 0), pool.not_(pool.above(left, 9)))
    space = Space(goal.system, goal.node, Rules(avoid=late))
    assert isinstance(best(space, Order.TIME, Budget.of(5)), Nothing)


def test_a_wait_goes_on_where_some_choice_is_forbidden_throughout() -> None:
    text = SLOW.replace("done becomes", "assume never hand and left > 1 s\n  done becomes")
    goal = asked(text, "done")
    space = Space(goal.system, goal.node)
    assert way(space, Order.TIME).ticks == 36_001
    assert len(space) < 20


RULED = """\
design ruled {
  tick 1 s
  free one: signal
  free other: signal
  keep way: one of (start, by_one, by_other, end)
  way becomes by_one when way is start and one, by_other when way is start and other,
    end when way is by_one or way is by_other and other
}
"""


def test_what_may_not_be_used_is_not() -> None:
    goal = asked(RULED, "way is end")
    assert way(Space(goal.system, goal.node), Order.TIME).moves == 1
    without = Space(goal.system, goal.node, Rules(unused=frozenset({(0, 1)})))
    found = way(without)
    made = deeds(goal.system, goal.node, without.trace_of(found.edges)).moves
    assert {one.move.choice for one in made} == {1}
    neither = Space(goal.system, goal.node, Rules(unused=frozenset({(0, 1), (1, 1)})))
    assert best(neither, Order.TIME, Budget.of(5)) == Nothing(1)


def test_what_is_to_be_avoided_is_never_met() -> None:
    goal = asked(RULED, "way is end")
    by_one = goal.system.shown["way"].nodes[1]
    space = Space(goal.system, goal.node, Rules(avoid=by_one))
    found = way(space)
    last = [space.state(edge.to).registers for edge in found.edges]
    assert not any(registers[by_one.data[0]] for registers in last)


def test_a_run_counts_only_if_it_can_go_on() -> None:
    lost = RULED.replace("}\n", "  assume never way is end and other\n}\n", 1)
    lost = lost.replace("end when", "end when way is end or")
    goal = asked(
        lost.replace("assume never way is end and other", "assume never way is end"), "yes"
    )
    space = Space(goal.system, goal.system.shown["way"].nodes[1])
    # From `by_one` all runs end in what is assumed never to be.
    assert isinstance(best(space, Order.TIME, Budget.of(5)), Nothing)
    assert space.explore(Budget.of(5)) is None
    assert space.dead()


def test_too_many_ways_to_choose_are_refused() -> None:
    hands = "\n".join(f"  free hand{number}: signal" for number in range(12))
    every = ", ".join(f"hand{number}" for number in range(12))
    goal = asked(f"design many {{\n{hands}\n}}\n", f"all of ({every})")
    with pytest.raises(TooManyWaysError):
        Space(goal.system, goal.node)


def test_limits_stop_a_search() -> None:
    goal = asked(TOGGLE, "at = 4")
    few = Space(goal.system, goal.node, most=3)
    assert isinstance(best(few, Order.TIME, Budget.of(5)), Stopped)
    assert isinstance(few.explore(Budget.of(5)), Stopped)
    tired = Space(goal.system, goal.node)
    assert isinstance(best(tired, Order.TIME, Budget.of(0)), Stopped)


def test_edges_lead_back_to_where_they_come_from() -> None:
    goal = asked(RULED, "way is end")
    space = Space(goal.system, goal.node)
    assert space.explore(Budget.of(5)) is None
    for number in range(len(space)):
        for edge in space.edges(number):
            assert (number, edge) in space.before(edge.to)


def test_moves_need_not_be_counted() -> None:
    goal = asked(TOGGLE, "at = 3")
    plain = Space(goal.system, goal.node, counts=False)
    assert plain.explore(Budget.of(5)) is None
    assert len(plain) == 5
    assert not any(edge.moves for number in range(5) for edge in plain.edges(number))
