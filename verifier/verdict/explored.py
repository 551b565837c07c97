"""Every state one by one: each tick from each of them is tried in the reference simulator.

That nothing happens so soon (`none_by`) is found by that alone; a list of states is looked at.

What a list has to show, besides being closed under all allowed ticks that count:

- *never*: no such tick has the target;
- *always possible* ("can come"): the rank is the least number of ticks before one that has the
  target: 0 where some tick has it, else one more than the least rank that a tick leads to;
- *comes in the end* ("must come"): every tick that waits leads to a state of lower rank.

And some run comes to each state of the list: ranks of other states say nothing. Asked from
anywhere, runs begin in each state that the parts can be left in.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import product
from math import prod

from verifier.system.expr import Node
from verifier.system.model import Cone
from verifier.system.program import Program, program
from verifier.system.state import State, only, start_of
from verifier.verdict.evidence import Explored
from verifier.verdict.ruling import SOUND, Ruling, unsure, wrong

MOST_WAYS = 65_536
"""Where one tick can go in more ways than this, states are not tried."""

MOST_LOOKED = 40_000_000
"""So many ways of a tick at most are tried to look at a list of states."""


class Shows(Enum):
    """What a list of states is said to show."""

    NEVER = "never"
    CAN_COME = "can come"
    MUST_COME = "must come"


@dataclass(frozen=True, slots=True)
class Ticked:
    """One allowed tick: whether the target is live in it, and the state after."""

    target: bool
    after: State


def judge_explored(
    cone: Cone, target: Node, explored: Explored, shows: Shows, begins: Sequence[State]
) -> Ruling:
    """Return whether the list is what it is said to be, for runs from any of the `begins`.

    Those that begin in a dead state do not count.
    """
    states, dead = explored.states, explored.dead
    if ways(cone) > MOST_WAYS:
        return unsure("a tick can go in too many ways")
    if (len(states) + len(dead)) * ways(cone) > MOST_LOOKED:
        return unsure("the list of states is too long to be looked at")
    ticks = Ticks(cone, target)
    for state, rank in dead.items():
        if any(dead.get(one.after, rank) >= rank for one in ticks.of(state)):
            return wrong("a state that is called dead has a way on")
    reached = set(begins) - dead.keys()
    if not reached:
        return wrong("no run goes on from the start")
    if not reached <= states.keys():
        return wrong("the list of states lacks the start")
    check = _CHECKS[shows]
    edge = list(reached)
    while edge:
        state = edge.pop()
        counted = [one for one in ticks.of(state) if one.after not in dead]
        if any(one.after not in states for one in counted):
            return wrong("the list of states is left by a tick")
        if not check(counted, states[state], states):
            return wrong(f"the list of states does not show that it {_WORDS[shows]}")
        new = {one.after for one in counted} - reached
        reached |= new
        edge.extend(new)
    return SOUND if len(reached) == len(states) else wrong("no run comes to some state of the list")


def none_by(part: Cone, target: Node, last: int, most: int) -> Ruling:
    """Return whether no run from the start meets the target at a tick 0 .. `last`.

    No more than `most` ways of a tick are tried: some 300,000 take a second. Where the new states
    of a tick, if those of the ticks to come are no fewer, need more than that, it ends there. Runs
    that cannot go on within the assumptions count as well, so one of them may spoil it.
    """
    if ways(part) > MOST_WAYS:
        return unsure("a tick can go in too many ways")
    ticks = Ticks(part, target)
    start = only(part, start_of(part.system))
    reached, edge, tried = {start}, {start}, 0
    for tick in range(last + 1):
        here = len(edge) * ticks.ways
        if tried + here * (last + 1 - tick) > most:
            return unsure(f"more than {most} ways of a tick")
        tried += here
        after: set[State] = set()
        for state in edge:
            for one in ticks.of(state):
                if one.target:
                    return unsure("a run meets it sooner")
                after.add(one.after)
        edge = after - reached
        reached |= edge
        if not edge:
            break
    return SOUND


class Ticks:
    """All allowed ticks of a cone from a state: every choice, every span that can be drawn."""

    def __init__(self, cone: Cone, target: Node) -> None:
        """Make the simulator of the cone."""
        roots = (target, cone.system.allowed)
        self.program: Program = program(Cone(cone.system, roots, *_indices(cone)), ())
        self.choices = list(_product(len(cone.system.choices), _options(cone)))
        self.draws = list(_product(len(cone.system.clocks), _spans(cone)))

    @property
    def ways(self) -> int:
        """How many are tried from a state."""
        return len(self.choices) * len(self.draws)

    def of(self, state: State) -> Iterator[Ticked]:
        """Yield each allowed tick from a state."""
        for choices in self.choices:
            for draws in self._drawn(state, choices):
                registers, clocks, (target, allowed) = self.program.tick(
                    state.registers, state.clocks, choices, draws
                )
                if allowed:
                    yield Ticked(target, State(registers, clocks))

    def _drawn(self, state: State, choices: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        """Yield the draws that fit: those that the simulator takes."""
        if len(self.draws) == 1:
            yield self.draws[0]
            return
        seen = set()
        for draws in self.draws:
            try:
                found = self.program.tick(state.registers, state.clocks, choices, draws)
            except ValueError:
                continue
            if found not in seen:
                seen.add(found)
                yield draws


def _indices(cone: Cone) -> tuple[tuple[int, ...], tuple[int, ...], tuple[int, ...]]:
    return cone.choices, cone.registers, cone.clocks


def ways(cone: Cone) -> int:
    """Return in how many ways a tick can go, choices and spans together."""
    return prod(map(len, (*_options(cone).values(), *_spans(cone).values())))


def _options(cone: Cone) -> dict[int, range]:
    return {index: range(len(cone.system.choices[index].options)) for index in cone.choices}


def _spans(cone: Cone) -> dict[int, range]:
    spans = {}
    for index in cone.clocks:
        clock = cone.system.clocks[index]
        if clock.ranged:
            ranged = [load for load in clock.loads if load.low != load.high]
            low = min(load.low for load in ranged)
            spans[index] = range(low, max(load.high for load in ranged) + 1)
    return spans


def _product(width: int, values: dict[int, range]) -> Iterator[tuple[int, ...]]:
    for found in product(*values.values()):
        row = [0] * width
        for index, value in zip(values, found, strict=True):
            row[index] = value
        yield tuple(row)


def _never(counted: list[Ticked], rank: int, states: Mapping[State, int]) -> bool:
    del rank, states
    return not any(one.target for one in counted)


def _can_come(counted: list[Ticked], rank: int, states: Mapping[State, int]) -> bool:
    if any(one.target for one in counted):
        return rank == 0
    return bool(counted) and rank == 1 + min(states[one.after] for one in counted)


def _must_come(counted: list[Ticked], rank: int, states: Mapping[State, int]) -> bool:
    return all(states[one.after] < rank for one in counted if one.target)


Check = Callable[[list[Ticked], int, Mapping[State, int]], bool]

_CHECKS: dict[Shows, Check] = {
    Shows.NEVER: _never,
    Shows.CAN_COME: _can_come,
    Shows.MUST_COME: _must_come,
}
_WORDS = {
    Shows.NEVER: "never happens",
    Shows.CAN_COME: "can always come",
    Shows.MUST_COME: "comes in the end",
}
