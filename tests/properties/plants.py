"""Small random systems, and what is true of them by looking at every state and every tick."""

from collections.abc import Iterable
from dataclasses import replace
from random import Random

from tests.engines.zones.oracle import afterwards, all_choices, holds, starts
from tests.engines.zones.workshop import random_system
from tests.system import make
from verifier.system.expr import Node, Pool
from verifier.system.model import Register, System
from verifier.verdict.trace import State


def plant(seed: int) -> tuple[System, Node]:
    """Return a random system and a target; some have buttons whose edges are remembered."""
    system, target = random_system(seed)
    system = replace(system, design=make.Bench().design())
    rng = Random(-seed - 1)
    if system.choices and rng.random() < 0.5:
        system, target = _with_edges(system, target, rng)
    return system, target


def _with_edges(system: System, target: Node, rng: Random) -> tuple[System, Node]:
    """Remember what was chosen a tick ago, and let a register, the target or `allowed` read it."""
    pool = system.pool
    choice = rng.randrange(len(system.choices))
    pressed = pool.pick(choice, 1)
    index = len(system.registers)
    start = pool.and_(pressed, pool.not_(pool.register(index)))
    registers = [*system.registers, Register("was", start=False, next=pressed, kept=False)]
    victim = rng.randrange(index)
    mixed = _mixed(pool, rng, registers[victim].next, start)
    registers[victim] = replace(registers[victim], next=mixed)
    allowed = system.allowed
    if rng.random() < 0.3 and len(system.choices) > 1:
        other = pool.pick(1 - choice, 1)
        allowed = pool.and_(allowed, pool.not_(pool.and_(start, other)))
    if rng.random() < 0.3:
        target = pool.and_(target, start)
    return replace(system, registers=tuple(registers), allowed=allowed), target


def _mixed(pool: Pool, rng: Random, one: Node, other: Node) -> Node:
    match rng.randrange(3):
        case 0:
            return pool.and_(one, other)
        case 1:
            return pool.or_(one, other)
        case _:
            return pool.if_(other, pool.not_(one), one)


def earliest(system: System, target: Node, *, anywhere: bool = False) -> int | None:
    """Return the first tick at which some run meets the target, None if none ever does."""
    layer = set(starts(system, anywhere=anywhere))
    seen = set(layer)
    every = list(all_choices(system))
    tick = 0
    while layer:
        following: set[State] = set()
        for state in layer:
            for choices in every:
                if holds(system.allowed, state, choices):
                    if holds(target, state, choices):
                        return tick
                    following.update(afterwards(system, state, choices))
        layer = following - seen
        seen |= layer
        tick += 1
    return None


def successors(system: System, state: State) -> Iterable[State]:
    """Yield the states one allowed tick later."""
    for choices in all_choices(system):
        if holds(system.allowed, state, choices):
            yield from afterwards(system, state, choices)


def goes_on(system: System, states: set[State]) -> set[State]:
    """Return those of the states from which an allowed run goes on for ever.

    The states must be closed: with a state all that follow it are among them.
    """
    return _greatest({state: set(successors(system, state)) for state in states})


def _greatest(following: dict[State, set[State]]) -> set[State]:
    """Return the states from which one can go on for ever."""
    live = set(following)
    while True:
        kept = {state for state in live if following[state] & live}
        if kept == live:
            return live
        live = kept


def reachable_states(system: System, begin: Iterable[State]) -> set[State]:
    """Return all states that allowed runs come to."""
    seen = set(begin)
    fresh = list(seen)
    while fresh:
        for following in successors(system, fresh.pop()):
            if following not in seen:
                seen.add(following)
                fresh.append(following)
    return seen


def earliest_for_ever(system: System, target: Node, *, anywhere: bool = False) -> int | None:
    """Return the first tick at which a run that goes on for ever meets the target."""
    begin = set(starts(system, anywhere=anywhere))
    live = goes_on(system, reachable_states(system, begin))
    every = list(all_choices(system))
    layer, seen, tick = begin & live, set(begin & live), 0
    while layer:
        following: set[State] = set()
        for state in layer:
            for choices in every:
                if holds(system.allowed, state, choices):
                    onward = [one for one in afterwards(system, state, choices) if one in live]
                    if onward and holds(target, state, choices):
                        return tick
                    following.update(onward)
        layer = following - seen
        seen |= layer
        tick += 1
    return None


def distances(system: System, goal: Node, *, anywhere: bool = False) -> dict[State, int | None]:
    """Return the least ticks before the goal from each state that can be reached, None: no way.

    Only states count from which runs go on for ever, and only ways that do.
    """
    begin = set(starts(system, anywhere=anywhere))
    live = goes_on(system, reachable_states(system, begin))
    every = list(all_choices(system))
    good = system.pool.and_(system.allowed, goal)
    ranks = {
        state: 0
        for state in live
        for choices in every
        if holds(good, state, choices)
        and any(one in live for one in afterwards(system, state, choices))
    }
    rank = 0
    while True:
        more = {
            state
            for state in live
            if state not in ranks and any(one in ranks for one in successors(system, state))
        }
        if not more:
            break
        rank += 1
        ranks.update(dict.fromkeys(more, rank))
    came = _came_to(system, begin, live)
    return {one: ranks.get(one) for one in live if one in came}


def dead_end(
    system: System, goal: Node, *, limit: int | None = None, anywhere: bool = False
) -> bool:
    """Whether some state can be reached from which the goal cannot (in `limit` ticks)."""
    found = distances(system, goal, anywhere=anywhere).values()
    return any(one is None or (limit is not None and one > limit) for one in found)


def _came_to(system: System, begin: set[State], live: set[State]) -> set[State]:
    """Return the live states that runs of live states come to."""
    seen = begin & live
    fresh = list(seen)
    while fresh:
        for following in successors(system, fresh.pop()):
            if following in live and following not in seen:
                seen.add(following)
                fresh.append(following)
    return seen


def waits_for_ever(system: System, waiting: Node, *, anywhere: bool = False) -> bool:
    """Whether some run waits at every tick from some tick on."""
    states = reachable_states(system, starts(system, anywhere=anywhere))
    every = list(all_choices(system))
    waits = system.pool.and_(system.allowed, waiting)
    following = {
        state: {
            one
            for choices in every
            if holds(waits, state, choices)
            for one in afterwards(system, state, choices)
        }
        for state in states
    }
    return bool(_greatest(following))
