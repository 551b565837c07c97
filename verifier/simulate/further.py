"""How a run that has told what it was for may go on: the quickest way, or any that counts."""

from collections import deque
from collections.abc import Sequence
from itertools import product

from verifier.simulate.machine import Position, machine
from verifier.simulate.onward import completed, end_of, way_on
from verifier.simulate.presses import Stretch, position_in, trace_of
from verifier.system.cone import cone
from verifier.system.expr import Node
from verifier.system.model import System
from verifier.system.state import State
from verifier.verdict.trace import Trace

MOST_LOOKS = 20_000
"""So many ways of a tick are looked at for the quickest way: a third of a second."""


def further(system: System, trace: Trace, goal: Node | None) -> Trace:
    """Return a run with more behind it: the quickest way to the goal, where that is soon found.

    Else a tick that keeps the assumptions, where resting would not.
    """
    after = end_of(system, trace)
    more = None if goal is None else quickest(system, after, goal)
    if more is None and not _may_rest(system, after):
        onward = way_on(system, after)[1]
        more = None if onward is None else onward.trace.first(1)
    if more is None:
        return trace
    return completed(system, Trace((*trace.steps, *more.steps), trace.start))


def _may_rest(system: System, state: State) -> bool:
    part = cone(system, [])
    follower = machine(part, (system.allowed,))
    return follower.look(*position_in(part, state), follower.rest()).seen[0]


def quickest(system: System, state: State, goal: Node) -> Trace | None:
    """Return the fewest ticks from a state up to one with the goal; None where that is too much."""
    part = cone(system, [goal])
    follower = machine(part, (goal, system.allowed))
    start = position_in(part, state)
    came: dict[Position, tuple[Position, Stretch] | None] = {start: None}
    todo, looks = deque([start]), 0
    while todo:
        at = todo.popleft()
        for choices in product(*map(range, follower.options)):
            looks += 1
            if looks > MOST_LOOKS:
                return None
            look = follower.look(*at, choices)
            for draws in follower.draws(look) if look.seen[1] else ():
                looks += 1
                step = Stretch(1, choices, draws)
                if look.seen[0]:
                    return trace_of(part, [*_back(came, at), step], start)
                if looks > MOST_LOOKS:
                    return None
                after = follower.after(at, look, draws, 1)
                if after not in came:
                    came[after] = at, step
                    todo.append(after)
    return None


def _back(came: dict[Position, tuple[Position, Stretch] | None], at: Position) -> Sequence[Stretch]:
    """Return the steps that led to a state."""
    steps: list[Stretch] = []
    while (before := came[at]) is not None:
        at, step = before
        steps.append(step)
    return steps[::-1]
