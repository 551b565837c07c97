"""Lists of states are taken where each sentence about them is true, and only there."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace
from random import Random

import pytest

from tests.engines.zones.oracle import afterwards, all_choices, holds
from tests.logic.shed import Shed
from tests.properties.plants import plant
from verifier.system.cone import cone
from verifier.system.expr import Node
from verifier.system.model import Cone, Load, System
from verifier.system.state import State, only, start_of
from verifier.verdict import explored
from verifier.verdict.evidence import Explored
from verifier.verdict.explored import MOST_WAYS, Shows, judge_explored, none_by
from verifier.verdict.ruling import Finding, Ruling

Ticks = dict[State, list[tuple[bool, State]]]


def ticks_of(part: Cone, target: Node, state: State) -> Iterator[tuple[bool, State]]:
    """Yield for each allowed tick whether the target is live in it, and the state after."""
    system = part.system
    for choices in all_choices(system):
        if holds(system.allowed, state, choices):
            for after in afterwards(system, state, choices):
                yield holds(target, state, choices), only(part, after)


def all_ticks(part: Cone, target: Node, start: State) -> Ticks:
    """Return the ticks from each state that can be reached."""
    found: Ticks = {}
    fresh = [start]
    while fresh:
        state = fresh.pop()
        if state not in found:
            found[state] = list(ticks_of(part, target, state))
            fresh.extend(after for _, after in found[state])
    return found


def dead_of(ticks: Ticks) -> dict[State, int]:
    """Return the states from which every way ends, each with a rank above those it leads to."""
    dead: dict[State, int] = {}
    while True:
        more = {
            state: len(dead)
            for state, ways in ticks.items()
            if state not in dead and all(after in dead for _, after in ways)
        }
        if not more:
            return dead
        dead |= {state: len(dead) + place for place, state in enumerate(more)}


def counted(ticks: Ticks, dead: dict[State, int], state: State) -> list[tuple[bool, State]]:
    return [(live, after) for live, after in ticks[state] if after not in dead]


def ranks(ticks: Ticks, dead: dict[State, int], shows: Shows) -> dict[State, int] | None:
    """Return ranks that show what is asked; None where it is not so."""
    live = [state for state in ticks if state not in dead]
    ways = {state: counted(ticks, dead, state) for state in live}
    match shows:
        case Shows.NEVER:
            never = not any(met for state in live for met, _ in ways[state])
            return dict.fromkeys(live, 0) if never else None
        case Shows.CAN_COME:
            found = {state: 0 for state in live if any(met for met, _ in ways[state])}
            step = 0
            while more := [
                state
                for state in live
                if state not in found and any(after in found for _, after in ways[state])
            ]:
                step += 1
                found.update(dict.fromkeys(more, step))
            return found if len(found) == len(live) else None
        case Shows.MUST_COME:
            found = {}
            while more := [
                state
                for state in live
                if state not in found
                and all(not met or after in found for met, after in ways[state])
            ]:
                found |= {state: len(found) + place for place, state in enumerate(more)}
            return found if len(found) == len(live) else None


def fits(
    ways: list[tuple[bool, State]], rank: int, states: Mapping[State, int], shows: Shows
) -> bool:
    """Say whether the rank of a state is right, given the ticks from it that count."""
    match shows:
        case Shows.NEVER:
            return not any(met for met, _ in ways)
        case Shows.CAN_COME:
            least = min((states[after] + 1 for _, after in ways), default=None)
            return rank == (0 if any(met for met, _ in ways) else least)
        case Shows.MUST_COME:
            return all(states[after] < rank for met, after in ways if met)


def true(part: Cone, target: Node, claimed: Explored, shows: Shows, start: State) -> bool:
    """Say whether each sentence of verdict/explored.py about such a list is true of this one."""
    states, dead = claimed.states, claimed.dead
    for state, rank in dead.items():
        for _, after in ticks_of(part, target, state):
            if after not in dead or dead[after] >= rank:
                return False
    if start in dead or start not in states:
        return False
    reached, fresh = {start}, [start]
    while fresh:
        state = fresh.pop()
        ways = [one for one in ticks_of(part, target, state) if one[1] not in dead]
        if not all(after in states for _, after in ways):
            return False
        if not fits(ways, states[state], states, shows):
            return False
        fresh.extend({after for _, after in ways} - reached)
        reached.update(after for _, after in ways)
    return reached == set(states)


def spoilt(claimed: Explored, rng: Random) -> Explored:
    """Return the list with one slip in it."""
    states, dead = dict(claimed.states), dict(claimed.dead)
    one = rng.choice(list(states))
    match rng.randrange(7):
        case 0:
            del states[one]
        case 1:
            states[one] += rng.choice((-1, 1))
        case 2:
            dead[one] = rng.randrange(3)
        case 3 if dead:
            other = rng.choice(list(dead))
            dead[other] = rng.randrange(4)
        case 4 if dead:
            other = rng.choice(list(dead))
            states[other] = dead.pop(other)
        case 5:
            stranger = State(tuple(not bit for bit in one.registers), one.clocks)
            states.setdefault(stranger, 0)
        case _:
            states[one] = 0
    return Explored(states, dead)


@pytest.mark.parametrize("shows", Shows)
def test_a_list_is_taken_where_it_is_true(shows: Shows) -> None:
    taken: Counter[bool] = Counter()
    for seed in range(110):
        system, target = plant(seed)
        part = cone(system, [target])
        start = only(part, start_of(system))
        ticks = all_ticks(part, target, start)
        if len(ticks) > 40:
            continue
        dead = dead_of(ticks)
        rank = ranks(ticks, dead, shows)
        if rank is None:
            rank = dict.fromkeys(set(ticks) - set(dead), 1)
        whole = Explored(rank, dead)
        rng = Random(seed)
        for claimed in (whole, *(spoilt(whole, rng) for _ in range(4 if rank else 0))):
            ruling = judge_explored(part, target, claimed, shows, start)
            assert ruling.sound == true(part, target, claimed, shows, start), seed
            taken[ruling.sound] += 1
    assert min(taken.values()) > 20


def first_meeting(ticks: Ticks, start: State) -> int | None:
    """Return the first tick at which some run meets the target, None where none ever does."""
    reached, edge, tick = {start}, {start}, 0
    while edge:
        if any(met for state in edge for met, _ in ticks[state]):
            return tick
        edge = {after for state in edge for _, after in ticks[state]} - reached
        reached |= edge
        tick += 1
    return None


def test_nothing_is_sooner_than_the_first_meeting() -> None:
    met = 0
    for seed in range(110):
        system, target = plant(seed)
        part = cone(system, [target])
        start = only(part, start_of(system))
        ticks = all_ticks(part, target, start)
        if len(ticks) > 40:
            continue
        first = first_meeting(ticks, start)
        met += first is not None
        for last in range(-1, 9):
            assert none_by(part, target, last, 10_000).sound == (first is None or last < first), (
                seed
            )
    assert met > 20


# --- by hand -------------------------------------------------------------------------------------


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
    return judge_explored(part, target, Explored(states, dead), shows, start_of(system))


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


def test_a_list_that_is_too_long_is_not_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two states, of which one is dead, and two ways from each."""
    system, lit = lamp()
    burns_out = replace(system, allowed=system.pool.not_(lit))
    monkeypatch.setattr(explored, "MOST_LOOKED", 4)
    assert ruled(burns_out, lit, {DARK: 0}, {LIT: 0}, Shows.NEVER).sound
    monkeypatch.setattr(explored, "MOST_LOOKED", 3)
    assert ruled(burns_out, lit, {DARK: 0}, {LIT: 0}, Shows.NEVER).finding is Finding.UNSURE


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
