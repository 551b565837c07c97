"""The states that a netlist can come to, counted in two ways that know nothing of the verifier."""

from collections.abc import Mapping
from itertools import product

import networkx as nx

from tests.outside.bdd import Bdd, manager, renamed
from tests.outside.netlists.netlist import Bits, Gate, Netlist, Placed


def graph(netlist: Netlist) -> "nx.DiGraph[Bits]":
    """Return every state that can be reached and every step between two, tried one by one."""
    found: nx.DiGraph[Bits] = nx.DiGraph()
    found.add_node(netlist.start)
    edge = [netlist.start]
    for state in edge:  # grows while it is walked
        for inputs in product((False, True), repeat=len(netlist.inputs)):
            after = netlist.after(state, inputs)
            if after not in found:
                edge.append(after)
            found.add_edge(state, after)
    return found


def depths(netlist: Netlist) -> Mapping[Bits, int]:
    """Return the least number of ticks to each state that can be reached."""
    lengths: Mapping[Bits, int] = nx.single_source_shortest_path_length(
        graph(netlist), netlist.start
    )
    return lengths


class Symbolic:
    """The states of a netlist as one decision diagram, by breadth-first search of sets of states.

    The method: J. R. Burch, E. M. Clarke, K. L. McMillan, D. L. Dill, L. J. Hwang, "Symbolic model
    checking: 10^20 states and beyond", LICS 1990.
    """

    def __init__(self, netlist: Netlist) -> None:
        """Find all states that can be reached."""
        self.netlist, self.bdd = netlist, manager()
        self.now = [f"now{place}" for place in range(len(netlist.flops))]
        self.then = [f"then{place}" for place in range(len(netlist.flops))]
        free = [f"free{place}" for place in range(len(netlist.inputs))]
        for one, two in zip(self.now, self.then, strict=True):
            self.bdd.declare(one, two)
        self.bdd.declare(*free)
        step = self._step(free)
        start = self.bdd.true
        for name in self.now:
            start &= ~self.bdd.var(name)
        self.layers = [start]
        seen = start
        while self.layers[-1] != self.bdd.false:
            image = self.bdd.exist([*self.now, *free], self.layers[-1] & step)
            fresh = renamed(self.bdd, dict(zip(self.then, self.now, strict=True)), image) & ~seen
            self.layers.append(fresh)
            seen |= fresh
        self.seen = seen

    @property
    def count(self) -> int:
        """How many states can be reached."""
        return int(self.bdd.count(self.seen, len(self.now)))

    @property
    def depth(self) -> int:
        """The ticks to the state that is farthest from the start."""
        return len(self.layers) - 2

    def reached(self, state: Bits) -> bool:
        """Whether a state can be reached."""
        where = dict(zip(self.now, state, strict=True))
        return bool(renamed(self.bdd, where, self.seen) == self.bdd.true)

    def _step(self, free: list[str]) -> Bdd:
        values: dict[str, Bdd] = {}
        for name, variable in zip(
            (*self.netlist.inputs, *self.netlist.flops), (*free, *self.now), strict=True
        ):
            values[name] = self.bdd.var(variable)
        for name, placed in self.netlist.gates.items():
            values[name] = self._gate(placed, values)
        step = self.bdd.true
        for variable, name in zip(self.then, self.netlist.flops.values(), strict=True):
            step &= ~self._odd(self.bdd.var(variable), values[name])
        return step

    def _odd(self, one: Bdd, other: Bdd) -> Bdd:
        return self.bdd.apply("xor", one, other)

    def _gate(self, placed: Placed, values: Mapping[str, Bdd]) -> Bdd:
        found = self.bdd.true if placed.gate in {Gate.AND, Gate.NAND} else self.bdd.false
        for one in (values[name] for name in placed.reads):
            match placed.gate:
                case Gate.AND | Gate.NAND:
                    found &= one
                case Gate.XOR | Gate.XNOR:
                    found = self._odd(found, one)
                case _:
                    found |= one
        turned = placed.gate in {Gate.NAND, Gate.NOR, Gate.XNOR, Gate.NOT}
        return ~found if turned else found
