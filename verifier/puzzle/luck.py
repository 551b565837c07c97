"""Whether a route needs the spans drawn on it, as far as trying their ends can tell."""

from collections.abc import Iterator
from dataclasses import replace

from verifier.puzzle.goal import Goal
from verifier.puzzle.moves import Luck
from verifier.puzzle.route import Route
from verifier.simulate.presses import Draw, Plan
from verifier.simulate.variations import Variations

MOST_TRIED = 16
"""Of more spans than that none is tried."""


def serves_at_ends(goal: Goal, route: Route) -> bool:
    """Return whether the choices of a route serve with its spans at their shortest and longest.

    Each span is tried at both ends by itself, and all at once; the goal comes no later each time.
    False also where there are too many to try. What lies between the ends is not tried.
    """
    if len(route.deeds.luck) > MOST_TRIED:
        return False
    near = Variations.of(goal.system, goal.node, route.trace, anywhere=False)
    return all(near.meets(plan) is not None for plan in _at_ends(near, route.deeds.luck))


def _at_ends(near: Variations, drawn: tuple[Luck, ...]) -> Iterator[Plan]:
    """Yield the plan of a route with other draws, each as long as the route."""
    clocks = near.machine.cone.clocks
    longest = max((one.high for one in drawn), default=0)
    for value in (0, longest):  # a wish out of range is taken as the nearest end
        yield replace(near.plan, draws=tuple(Draw(0, at, value) for at in range(len(clocks))))
    for one in drawn:
        clock = clocks.index(one.clock)
        for end in (one.low, one.high):
            then = Draw(one.tick + 1, clock, _wished(near.plan, clock, one.tick + 1))
            draws = (*near.plan.draws, Draw(one.tick, clock, end), then)
            yield replace(near.plan, draws=draws)


def _wished(plan: Plan, clock: int, tick: int) -> int:
    """Return what a clock is to show next, if it loads a span with a range at a tick."""
    values = [draw.value for draw in plan.draws if draw.clock == clock and draw.at <= tick]
    return values[-1] if values else 0
