"""The frame of a zone search: a cone laid out as finite variables and three-valued gates.

Each register, clock and choice becomes a variable with a few values: a register is dead or live, a
choice stands at one of its options, a clock lies in one *region* between the ticks that somebody
compares it with (region 0: it shows 0). A *box* holds, for each variable, the set of values that it
may still have, all packed into one integer, one bit a value. A *key* is the part of a box that
registers and clocks take up.

Registers and clocks that are not kept are *freed*: any value, anew at each tick. Choices are free
by nature. Fewer kept variables make a coarser model with more runs; what none of its runs meets, no
run of the whole meets.

Gates are evaluated over many boxes at once, one lane (bit) a box, with two rails a gate: "may be
true" and "may be false". A literal is the place of a rail: even as it stands, odd negated.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass

from verifier.system.expr import Node, Op, reachable
from verifier.system.model import Cone, Load, System

YES = 0  # the literal of the constant; its other rail is NO
NO = 1


@dataclass(frozen=True, slots=True)
class Bit:
    """A kept register: index in the system, place in boxes, the literal of its next value."""

    index: int
    place: int
    next: int

    @property
    def both(self) -> int:
        """The two values, dead and live."""
        return 3 << self.place


@dataclass(frozen=True, slots=True)
class Dial:
    """A kept clock: region r takes up the ticks `edges[r - 1]` + 1 .. `edges[r]`; region 0 is 0."""

    index: int
    place: int
    edges: tuple[int, ...]
    loads: tuple[tuple[int, Load], ...]
    runs: int

    @property
    def all(self) -> int:
        """All regions."""
        return ((1 << len(self.edges)) - 1) << self.place

    def region(self, key: int) -> int:
        """Return the region that a key puts this clock in."""
        return ((key & self.all) >> self.place).bit_length() - 1

    def parts(self, low: int, high: int) -> list[tuple[int, int, int]]:
        """Return how low .. high falls into regions: (region, low there, high there)."""
        found = []
        floor = 0
        for region, edge in enumerate(self.edges):
            if low <= edge and high >= floor:
                found.append((region, max(low, floor), min(high, edge)))
            floor = edge + 1
        return found


@dataclass(frozen=True, slots=True)
class Kept:
    """Indices of the registers and clocks that a model follows."""

    registers: frozenset[int]
    clocks: frozenset[int]

    @classmethod
    def all_of(cls, cone: Cone) -> "Kept":
        """Return everything in the cone."""
        return cls(frozenset(cone.registers), frozenset(cone.clocks))

    @classmethod
    def nothing(cls) -> "Kept":
        """Return: all is freed."""
        return cls(frozenset(), frozenset())

    @classmethod
    def of(cls, sources: AbstractSet[tuple[Op, int]]) -> "Kept":
        """Return these, each by its operator and index."""
        return cls(
            frozenset(index for op, index in sources if op is Op.REGISTER),
            frozenset(index for op, index in sources if op is Op.ABOVE),
        )

    def and_also(self, more: "Kept") -> "Kept":
        """Return both together."""
        return Kept(self.registers | more.registers, self.clocks | more.clocks)

    def __len__(self) -> int:
        """Count what is kept."""
        return len(self.registers) + len(self.clocks)


@dataclass(frozen=True, slots=True)
class Leaf:
    """A value read from a box: true where one of `yes` is taken, false where one of `no` is.

    `source` is the register or clock that it reads, by operator and index.
    """

    yes: int
    no: int
    source: tuple[Op, int]

    @property
    def variable(self) -> int:
        """All values of the variable that is read."""
        return self.yes | self.no


@dataclass(frozen=True, slots=True)
class Gate:
    """A conjunction of literals, or, with `chooses`, (condition, then, other)."""

    chooses: bool
    literals: tuple[int, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """A cone laid out; gates follow the constant and the leaves, in an order fit for one pass."""

    system: System
    bits: tuple[Bit, ...]
    dials: tuple[Dial, ...]
    free: int
    leaves: tuple[Leaf, ...]
    gates: tuple[Gate, ...]
    target: int
    allowed: int
    domain: int

    @property
    def size(self) -> int:
        """Number of leaves and gates: what one evaluation costs."""
        return len(self.leaves) + len(self.gates)

    def leaf(self, literal: int) -> Leaf | None:
        """Return the leaf that a literal stands for, None for a gate or constant."""
        place = (literal >> 1) - 1
        return self.leaves[place] if 0 <= place < len(self.leaves) else None

    def gate(self, literal: int) -> Gate:
        """Return the gate that a literal stands for."""
        return self.gates[(literal >> 1) - 1 - len(self.leaves)]


class _Builder:
    """Lays out the needed part of a cone."""

    def __init__(self, system: System, roots: Sequence[Node]) -> None:
        self.system = system
        self.nodes = reachable(roots)
        self.edges = self._edges()
        self.places: dict[tuple[Op, int], int] = {}
        self.widths: dict[tuple[Op, int], int] = {}
        self.literals: dict[int, int] = {}
        self.leaves: list[Leaf] = []
        self.gates: list[Gate] = []
        self.end = 0

    def _edges(self) -> dict[int, tuple[int, ...]]:
        read: dict[int, set[int]] = defaultdict(set)
        for node in self.nodes:
            if node.op is Op.ABOVE:
                read[node.data[0]].add(node.data[1])
        return {
            clock: self._regions(ticks, self.system.clocks[clock].longest)
            for clock, ticks in read.items()
        }

    @staticmethod
    def _regions(ticks: Iterable[int], longest: int) -> tuple[int, ...]:
        return tuple(sorted({0, longest, *(k for k in ticks if k < longest)}))

    def place(self, source: tuple[Op, int]) -> int:
        """Return the place of a variable in boxes, made at the first call."""
        if source not in self.places:
            op, index = source
            if op is Op.REGISTER:
                width = 2
            elif op is Op.PICK:
                width = max(2, len(self.system.choices[index].options))
            else:
                width = len(self.clock_edges(index))
            self.places[source] = self.end
            self.widths[source] = width
            self.end += width
        return self.places[source]

    def clock_edges(self, clock: int) -> tuple[int, ...]:
        """Return the upper ends of the regions of a clock."""
        return self.edges.get(clock) or self._regions((), self.system.clocks[clock].longest)

    def full(self, source: tuple[Op, int]) -> int:
        """Return all values of a variable."""
        place = self.place(source)
        return ((1 << self.widths[source]) - 1) << place

    def _leaf(self, node: Node) -> Leaf:
        source = (node.op, node.data[0])
        place, full = self.place(source), self.full(source)
        if node.op is Op.REGISTER:
            yes = 2 << place
        elif node.op is Op.PICK:
            yes = 1 << (place + node.data[1])
        else:
            regions = range(len(self.edges[node.data[0]]))
            edges = self.edges[node.data[0]]
            yes = sum(1 << (place + r) for r in regions if edges[r] > node.data[1])
        return Leaf(yes, full & ~yes, source)

    def lay_out(self) -> None:
        """Give each node its literal: leaves first, then gates."""
        inner: list[Node] = []
        for node in self.nodes:
            match node.op:
                case Op.CONST:
                    self.literals[node.number] = YES if node.data[0] else NO
                case Op.REGISTER | Op.PICK | Op.ABOVE:
                    leaf = self._leaf(node)
                    self.leaves.append(leaf)
                    self.literals[node.number] = 2 * len(self.leaves) if leaf.yes else NO
                case _:
                    inner.append(node)
        for node in inner:
            self.literals[node.number] = self._gate(node)

    def _gate(self, node: Node) -> int:
        inside = tuple(self.literals[arg.number] for arg in node.args)
        match node.op:
            case Op.NOT:
                return inside[0] ^ 1
            case Op.AND:
                return self._add(Gate(chooses=False, literals=inside))
            case Op.OR:
                return self._add(Gate(chooses=False, literals=tuple(x ^ 1 for x in inside))) ^ 1
            case Op.IF:
                return self._add(Gate(chooses=True, literals=inside))
            case _:
                raise ValueError(f"no system holds {node}")

    def _add(self, gate: Gate) -> int:
        self.gates.append(gate)
        return 2 * (len(self.leaves) + len(self.gates))


def framed(cone: Cone, target: Node, kept: Kept, *, anywhere: bool) -> Frame:
    """Lay out what is needed to follow the kept part of a cone and to see the target.

    Kept registers and clocks come first in boxes, so that keys are small numbers.
    """
    system = cone.system
    registers, clocks = sorted(kept.registers), sorted(kept.clocks)
    domain = system.domain if anywhere else system.pool.yes
    roots = [target, system.allowed, domain]
    roots += [system.registers[index].next for index in registers]
    for index in clocks:
        clock = system.clocks[index]
        roots += [clock.runs, *(load.when for load in clock.loads)]
    builder = _Builder(system, roots)
    for index in registers:
        builder.place((Op.REGISTER, index))
    for index in clocks:
        builder.place((Op.ABOVE, index))
    keys = (1 << builder.end) - 1
    builder.lay_out()
    literals = builder.literals
    return Frame(
        system=system,
        bits=tuple(
            Bit(i, builder.place((Op.REGISTER, i)), literals[system.registers[i].next.number])
            for i in registers
        ),
        dials=tuple(_dial(builder, i) for i in clocks),
        free=((1 << builder.end) - 1) & ~keys,
        leaves=tuple(builder.leaves),
        gates=tuple(builder.gates),
        target=literals[target.number],
        allowed=literals[system.allowed.number],
        domain=literals[domain.number],
    )


def _dial(builder: _Builder, index: int) -> Dial:
    clock = builder.system.clocks[index]
    loads = tuple((builder.literals[load.when.number], load) for load in clock.loads)
    runs = builder.literals[clock.runs.number]
    place = builder.place((Op.ABOVE, index))
    return Dial(index, place, builder.clock_edges(index), loads, runs)


def evaluated(frame: Frame, boxes: Sequence[int]) -> list[int]:
    """Return the rails of all literals over the boxes: bit n of a rail belongs to box n."""
    every = (1 << len(boxes)) - 1
    rails = [every, 0]
    order = boxes[::-1]
    for leaf in frame.leaves:
        rails.append(int("".join(["1" if box & leaf.yes else "0" for box in order]), 2))
        rails.append(int("".join(["1" if box & leaf.no else "0" for box in order]), 2))
    for gate in frame.gates:
        if gate.chooses:
            condition, then, other = gate.literals
            yes, no = rails[condition], rails[condition ^ 1]
            rails.append(yes & rails[then] | no & rails[other])
            rails.append(yes & rails[then ^ 1] | no & rails[other ^ 1])
        else:
            may, may_not = every, 0
            for literal in gate.literals:
                may &= rails[literal]
                may_not |= rails[literal ^ 1]
            rails += [may, may_not]
    return rails


def narrowed_sources(frame: Frame, box: int) -> set[tuple[Op, int]]:
    """Return the freed registers and clocks that a box leaves only some of their values."""
    return {
        leaf.source
        for leaf in frame.leaves
        if leaf.source[0] is not Op.PICK and leaf.yes & frame.free and (leaf.yes | leaf.no) & ~box
    }
