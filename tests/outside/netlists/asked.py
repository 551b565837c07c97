"""What the verifier says of the states of a netlist, beside what two counts say."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import product
from random import Random

from tests.outside.desk import Answered, system_of
from tests.outside.netlists.count import Symbolic
from tests.outside.netlists.design import at, written
from tests.outside.netlists.netlist import Bits, Netlist
from verifier.engines.decide import Decider, Effort

ALL = 64
"""So many states are asked one by one; of more than that a sample is."""


@dataclass(frozen=True, slots=True)
class Told:
    """What was asked: whether each state can be reached, and the tick of the run that shows it."""

    tick: Mapping[Bits, int]
    never: frozenset[Bits]
    unknown: frozenset[Bits]


def told(netlist: Netlist, states: Iterable[Bits]) -> Told:
    """Ask the verifier of some states, each by a claim `possible` and by a claim `never`."""
    asked = dict(enumerate(states))
    claims = [
        claim
        for number, state in asked.items()
        for claim in (
            f"claim to_{number}: possible {at(netlist, state)}",
            f"claim never_{number}: never {at(netlist, state)}",
        )
    ]
    system = system_of(written(netlist, claims))
    decider = Decider(system, Effort(), worst=False)
    found = {one.name: Answered(decider.decide(one)) for one in system.questions}
    tick: dict[Bits, int] = {}
    never, unknown = set(), set()
    for number, state in asked.items():
        to, not_to = found[f"to_{number}"], found[f"never_{number}"]
        if to.holds and not_to.fails:
            assert to.tick is not None, state
            tick[state] = to.tick
        elif to.fails and not_to.holds:
            never.add(state)
        else:
            assert not (to.holds and not_to.holds), state
            assert not (to.fails and not_to.fails), state
            unknown.add(state)
    return Told(tick, frozenset(never), frozenset(unknown))


def states_of(netlist: Netlist) -> Iterator[Bits]:
    """Yield every state that there could be."""
    yield from product((False, True), repeat=len(netlist.flops))


def sample(netlist: Netlist, symbolic: Symbolic, seed: int, few: int) -> list[Bits]:
    """Return all states if they are few; else some that runs come to, and some at random."""
    if 2 ** len(netlist.flops) <= ALL:
        return list(states_of(netlist))
    random = Random(seed)
    odd = {tuple(random.random() < 0.5 for _ in netlist.flops) for _ in range(few)}
    return sorted(odd.union(walked(netlist, seed, min(few, symbolic.count))))


def walked(netlist: Netlist, seed: int, few: int) -> list[Bits]:
    """Return so many states, or fewer, that a run comes to by inputs at random, in their order."""
    random = Random(seed)
    state, found = netlist.start, {netlist.start: None}
    for _ in range(20 * few):
        if len(found) < few:
            state = netlist.after(state, tuple(random.random() < 0.5 for _ in netlist.inputs))
            found[state] = None
    return list(found)
