"""Lists of states are taken where each sentence about them is true, and only there."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from random import Random

import pytest

from tests.engines.zones.oracle import afterwards, all_choices, holds, starts
from tests.logic.shed import LIMITS
from tests.properties.plants import plant
from verifier.logic.judge import Case, judge
from verifier.system.cone import cone
from verifier.system.expr import Node
from verifier.system.model import Cone
from verifier.system.state import State, only, start_of
from verifier.verdict.evidence import Explored
from verifier.verdict.explored import Shows, judge_explored, none_by

Ticks = dict[State, list[tuple[bool, State]]]


def ticks_of(part: Cone, target: Node, state: State) -> Iterator[tuple[bool, State]]:
    """Yield for each allowed tick whether the target is live in it, and the state after."""
    system = part.system
    for choices in all_choices(system):
        if holds(system.allowed, state, choices):
            for after in afterwards(system, state, choices):
                yield holds(target, state, choices), only(part, after)


def all_ticks(part: Cone, target: Node, *begins: State) -> Ticks:
    """Return the ticks from each state that can be reached."""
    found: Ticks = {}
    fresh = list(begins)
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


def true(
    part: Cone, target: Node, claimed: Explored, shows: Shows, begins: Sequence[State]
) -> bool:
    """Say whether each sentence of verdict/explored.py about such a list is true of this one."""
    states, dead = claimed.states, claimed.dead
    for state, rank in dead.items():
        for _, after in ticks_of(part, target, state):
            if after not in dead or dead[after] >= rank:
                return False
    fresh = [start for start in set(begins) if start not in dead]
    if not fresh or any(start not in states for start in fresh):
        return False
    reached = set(fresh)
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


@pytest.mark.parametrize("anywhere", [False, True])
@pytest.mark.parametrize("shows", Shows)
def test_a_list_is_taken_where_it_is_true(shows: Shows, anywhere: bool) -> None:
    taken: Counter[bool] = Counter()
    for seed in range(110):
        system, target = plant(seed)
        part = Case(system, target, anywhere).cone
        begins = list({only(part, start) for start in starts(system, anywhere=anywhere)})
        ticks = all_ticks(part, target, *begins)
        if len(ticks) > (90 if anywhere else 40):
            continue
        dead = dead_of(ticks)
        rank = ranks(ticks, dead, shows)
        if rank is None:
            rank = dict.fromkeys(set(ticks) - set(dead), 1)
        whole = Explored(rank, dead)
        rng = Random(seed)
        for claimed in (whole, *(spoilt(whole, rng) for _ in range(4 if rank else 0))):
            ruling = judge_explored(part, target, claimed, shows, begins)
            assert ruling.sound == true(part, target, claimed, shows, begins), seed
            case = Case(system, target, anywhere, shows)
            assert judge(case, claimed, LIMITS).ruling.sound == ruling.sound
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
