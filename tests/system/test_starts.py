"""Where runs begin: every state that the domain leaves, each once, and no other."""

from random import Random

import pytest

from tests.engines.zones.oracle import starts
from tests.logic.shed import Shed
from tests.properties.plants import plant
from verifier.logic.judge import Case
from verifier.system.model import Load
from verifier.system.starts import Starts
from verifier.system.state import State, only


@pytest.mark.parametrize("anywhere", [False, True])
def test_runs_begin_where_trying_all_states_finds_that_they_do(anywhere: bool) -> None:
    several = 0
    for seed in range(150):
        system, target = plant(seed)
        part = Case(system, target, anywhere).cone
        expected = {only(part, state) for state in starts(system, anywhere=anywhere)}
        begins = Starts.of(part, anywhere=anywhere)
        found = begins.all(len(expected))
        assert found is not None, seed
        assert len(found) == len(expected), seed
        assert set(found) == expected, seed
        if expected:
            assert begins.all(len(expected) - 1) is None, seed
        several += len(expected) > 1
        dice = Random(seed)
        for _ in range(5):
            drawn = begins.drawn(dice)
            assert drawn is None or drawn in expected, seed
    assert several > 50 if anywhere else several == 0


def test_each_start_is_drawn_some_time() -> None:
    """A walker's glass runs in the passage only, and has one tick or two left there."""
    shed = Shed()
    pool = shed.pool
    room, passage, hidden = shed.bit("room"), shed.bit("passage"), shed.bit("seen", kept=False)
    glass = shed.clock("glass", [Load(passage, 2, 2)])
    one = pool.not_(pool.and_(room, passage))
    runs = pool.or_(pool.not_(passage), pool.above(glass, 0))
    rests = pool.or_(pool.not_(room), pool.not_(pool.above(glass, 0)))
    system = shed.system(domain=pool.and_(one, runs, rests))
    part = Case(system, hidden, anywhere=True).cone
    begins = Starts.of(part, anywhere=True)
    expected = {
        State(bits, (left,))
        for bits, shown in (
            ((False, False, False), (0, 1, 2)),
            ((True, False, False), (0,)),
            ((False, True, False), (1, 2)),
        )
        for left in shown
    }
    assert set(begins.all(6) or ()) == expected
    assert begins.all(5) is None
    dice = Random(1)
    assert {begins.drawn(dice) for _ in range(200)} - {None} == expected


def test_what_is_in_the_middle_of_a_range_is_drawn_now_and_then() -> None:
    """Of two glasses of 0 to 9 ticks the second shows 4, and the first as much or more."""
    shed = Shed()
    pool = shed.pool
    press, lit = shed.choice("press"), shed.bit("lit", start=True, kept=False)
    one, two = (shed.clock(name, [Load(press, 9, 9)]) for name in ("one", "two"))
    four = pool.and_(pool.above(two, 3), pool.not_(pool.above(two, 4)))
    system = shed.system(domain=pool.and_(four, pool.above(one, 3)))
    part = Case(system, pool.and_(four, lit), anywhere=True).cone
    begins = Starts.of(part, anywhere=True)
    expected = [State((True,), (shows, 4)) for shows in range(4, 10)]
    assert begins.all(100) == expected
    dice = Random(2)
    drawn = [begins.drawn(dice) for _ in range(400)]
    assert set(drawn) == {None, *expected}


def test_the_domain_says_nothing_of_runs_from_the_start_values() -> None:
    shed = Shed()
    lit = shed.bit("lit", start=True)
    system = shed.system(domain=shed.pool.not_(lit))
    part = Case(system, lit, anywhere=False).cone
    assert Starts.of(part, anywhere=False).all(1) == [State((True,), ())]
    assert Starts.of(part, anywhere=True).all(1) == [State((False,), ())]
