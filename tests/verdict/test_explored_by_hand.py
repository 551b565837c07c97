"""Lists of states worked out by hand, each with a slip that must not be taken."""

from dataclasses import replace

import pytest

from tests.logic.shed import Shed
from verifier.system.cone import cone
from verifier.system.expr import Node
from verifier.system.model import Load, System
from verifier.system.state import State, start_of
from verifier.verdict import explored
from verifier.verdict.evidence import Explored
from verifier.verdict.explored import MOST_WAYS, Shows, judge_explored, none_by
from verifier.verdict.ruling import Finding, Ruling


def lamp() -> tuple[System, Node]:
    """Return a plant where a press lights the lamp for ever, and that the lamp is lit."""
    shed = Shed()
    press = shed.choice("press")
    lit = shed.bit("lit")
    shed.becomes(lit, shed.pool.or_(lit, press))
    return shed.system(), lit


DARK, LIT = State((False,), ()), State((True,), ())


def ruled(
    system: System, target: Node, states: dict[State, int], dead: dict[State, int], shows: Shows
) -> Ruling:
    part = cone(system, [target])
    return judge_explored(part, target, Explored(states, dead), shows, [start_of(system)])


@pytest.mark.parametrize("rank", [0, 1])
def test_a_state_that_goes_on_is_not_dead(rank: int) -> None:
    """Were it dead, no tick into it would count, and the lamp would never be lit."""
    system, lit = lamp()
    assert "dead" in ruled(system, lit, {DARK: 0}, {LIT: rank}, Shows.NEVER).words
    stays_dark = replace(system, allowed=system.pool.not_(system.pool.pick(0, 1)))
    assert ruled(stays_dark, lit, {DARK: 0}, {}, Shows.NEVER).sound
    burns_out = replace(system, allowed=system.pool.not_(lit))
    assert ruled(burns_out, lit, {DARK: 0}, {LIT: rank}, Shows.NEVER).sound


@pytest.mark.parametrize("way_on", [0, 1])
@pytest.mark.parametrize("turned", [False, True])
def test_every_tick_from_each_dead_state_is_looked_at(way_on: int, turned: bool) -> None:
    """From the second room one choice ends in the third, where nothing is allowed, one goes on."""
    shed = Shed()
    pool = shed.pool
    press = shed.choice("press")
    first, second, third = (shed.bit(name, start=name == "first") for name in ("first", "b", "c"))
    onward = press if way_on else pool.not_(press)
    shed.becomes(first, pool.no)
    shed.becomes(second, pool.or_(first, pool.and_(second, onward)))
    shed.becomes(third, pool.and_(second, pool.not_(onward)))
    system = shed.system(allowed=pool.not_(third))
    one, two, three = (State(tuple(i == n for i in range(3)), ()) for n in range(3))
    dead = {three: 0, two: 1} if turned else {two: 1, three: 0}
    # Both kinds of ticks are left out in turn, so the state seems to be dead but for one of them.
    ruling = ruled(system, second, {one: 0}, dead, Shows.NEVER)
    assert ruling.finding is Finding.WRONG
    assert ruled(system, second, {one: 1, two: 0}, {three: 0}, Shows.CAN_COME).sound


def test_where_no_run_goes_on_nothing_is_shown() -> None:
    system, lit = lamp()
    none = replace(system, allowed=system.pool.no)
    for states in ({DARK: 0}, {}):
        assert not ruled(none, lit, states, {DARK: 0}, Shows.NEVER).sound
    # A state without a way on that is not called dead can come to nothing.
    assert not ruled(none, lit, {DARK: 0}, {}, Shows.CAN_COME).sound
    assert not ruled(none, lit, {DARK: 1}, {}, Shows.CAN_COME).sound


def test_every_draw_of_every_load_is_looked_at() -> None:
    """Two loads that draw from different spans; each value of each is a state of its own."""
    shed = Shed()
    pool = shed.pool
    low, high, begun = shed.choice("low"), shed.choice("high"), shed.bit("begun")
    shed.becomes(begun, pool.yes)
    new = pool.not_(begun)
    loads = [Load(pool.and_(new, low), 1, 2), Load(pool.and_(new, high), 4, 5)]
    glass = shed.clock("glass", [*loads, Load(pool.and_(new, pool.no), 3, 9)])
    shed.runs(glass, pool.no)
    system = shed.system()
    target = pool.and_(begun, pool.above(glass, 5))
    states = {State((False,), (0,)): 0} | {State((True,), (n,)): 0 for n in (0, 1, 2, 4, 5)}
    assert ruled(system, target, states, {}, Shows.NEVER).sound
    for shows in (0, 1, 2, 4, 5):
        fewer = {state: 0 for state in states if state != State((True,), (shows,))}
        assert "left by a tick" in ruled(system, target, fewer, {}, Shows.NEVER).words


def test_runs_are_followed_up_to_the_last_tick_and_no_further() -> None:
    """The lamp is pressed at tick 0 and lit at tick 1; who never presses waits in vain."""
    system, lit = lamp()
    part = cone(system, [lit])
    assert none_by(part, lit, 0, 99).sound
    assert "sooner" in none_by(part, lit, 1, 99).words
    dark = replace(system, allowed=system.pool.not_(system.pool.pick(0, 1)))
    assert none_by(cone(dark, [lit]), lit, 9, 99).sound


def test_where_too_much_is_to_be_tried_nothing_is_said() -> None:
    system, lit = lamp()
    part = cone(system, [lit])
    # Two ways from the one state at tick 0.
    assert none_by(part, lit, 0, 2).sound
    assert none_by(part, lit, 0, 1).finding is Finding.UNSURE
    shed = Shed()
    bits = MOST_WAYS.bit_length()
    presses = [shed.choice(f"press {number}") for number in range(bits)]
    every = shed.pool.and_(*presses)
    never = shed.pool.and_(every, shed.bit("never"))
    wide = shed.system()
    assert none_by(cone(wide, [never]), never, 0, 10**9).finding is Finding.UNSURE
    start = start_of(wide)
    assert ruled(wide, never, {start: 0}, {}, Shows.NEVER).finding is Finding.UNSURE
    narrow = shed.pool.and_(*presses[: bits - 1], shed.bit("none"))
    most = MOST_WAYS
    assert none_by(cone(shed.system(), [narrow]), narrow, 0, most).sound


@pytest.mark.parametrize(("last", "most"), [(0, 4), (1, 16), (2, 28)])
def test_it_ends_where_as_many_states_again_at_each_tick_would_be_too_much(
    last: int, most: int
) -> None:
    """Two lamps, each lit for ever: four ways from the one state at tick 0, then three states.

    At tick 1 twelve ways are to be tried, and as many at tick 2 as far as one can tell then; that
    no new state comes is seen only after it.
    """
    shed = Shed()
    lamps = [shed.bit(name) for name in ("left", "right")]
    for lit in lamps:
        shed.becomes(lit, shed.pool.or_(lit, shed.choice(f"press {lit}")))
    never = shed.pool.and_(*lamps, shed.bit("never"))
    part = cone(shed.system(), [never])
    assert none_by(part, never, last, most).sound
    assert none_by(part, never, last, most - 1).finding is Finding.UNSURE


def test_a_list_that_is_too_long_is_not_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two states, of which one is dead, and two ways from each."""
    system, lit = lamp()
    burns_out = replace(system, allowed=system.pool.not_(lit))
    monkeypatch.setattr(explored, "MOST_LOOKED", 4)
    assert ruled(burns_out, lit, {DARK: 0}, {LIT: 0}, Shows.NEVER).sound
    monkeypatch.setattr(explored, "MOST_LOOKED", 3)
    assert ruled(burns_out, lit, {DARK: 0}, {LIT: 0}, Shows.NEVER).finding is Finding.UNSURE
    # A list of three, each with two ways.
    monkeypatch.setattr(explored, "MOST_LOOKED", 5)
    long = ruled(burns_out, lit, {DARK: 0, LIT: 0}, {LIT: 0}, Shows.NEVER)
    assert long.finding is Finding.UNSURE


def test_spans_that_come_out_in_very_many_ways_are_too_much_to_be_tried() -> None:
    """Two clocks that may each draw one of 300 spans: 90,000 ways."""
    shed = Shed()
    press = shed.choice("press")
    glasses = [shed.clock(name, [Load(press, 1, 300)]) for name in ("one", "two")]
    never = shed.pool.and_(shed.bit("never"), *(shed.pool.above(glass, 1) for glass in glasses))
    system = shed.system()
    assert none_by(cone(system, [never]), never, 0, 10**9).finding is Finding.UNSURE
    start = start_of(system)
    assert ruled(system, never, {start: 0}, {}, Shows.NEVER).finding is Finding.UNSURE
