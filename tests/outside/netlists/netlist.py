"""Sequential netlists of gates and D flip-flops, read from the textual form of the ISCAS-89 set.

The form, and the set it comes from: F. Brglez, D. Bryan, K. Kozminski, "Combinational profiles of
sequential benchmark circuits", ISCAS 1989. A line is `INPUT(x)`, `OUTPUT(y)`, `z = NAND(a, b)` or
`q = DFF(d)`; the order of lines means nothing. The paper names no state at the start: here every
flip-flop starts dead.
"""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from graphlib import CycleError, TopologicalSorter


class Gate(Enum):
    """What a gate does with its inputs; XOR and XNOR of several are of their parity."""

    AND = "AND"
    OR = "OR"
    NAND = "NAND"
    NOR = "NOR"
    XOR = "XOR"
    XNOR = "XNOR"
    NOT = "NOT"
    BUF = "BUF"


RULES: Mapping[Gate, Callable[[Sequence[bool]], bool]] = {
    Gate.AND: all,
    Gate.OR: any,
    Gate.NAND: lambda values: not all(values),
    Gate.NOR: lambda values: not any(values),
    Gate.XOR: lambda values: sum(values) % 2 == 1,
    Gate.XNOR: lambda values: sum(values) % 2 == 0,
    Gate.NOT: lambda values: not values[0],
    Gate.BUF: lambda values: values[0],
}
SINGLE = {Gate.NOT, Gate.BUF}

Bits = tuple[bool, ...]


class NetlistError(ValueError):
    """A netlist that cannot be read; the words say where and why."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A gate and the names that it reads."""

    gate: Gate
    reads: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Netlist:
    """Inputs, gates in an order in which each reads only what stands before, and flip-flops.

    `flops` maps the name of each flip-flop to the name that it takes over at the next tick.

    Raises:
        NetlistError: a name is not defined, or gates read one another in a circle.
    """

    name: str
    inputs: tuple[str, ...]
    outputs: tuple[str, ...]
    gates: Mapping[str, Placed]
    flops: Mapping[str, str]

    def __post_init__(self) -> None:
        """Look for names that nothing defines."""
        known = {*self.inputs, *self.gates, *self.flops}
        for reader, name in self._read():
            if name not in known:
                raise NetlistError(f"{self.name}: {reader} reads {name}, which nothing defines")

    def _read(self) -> Iterator[tuple[str, str]]:
        for name, placed in self.gates.items():
            yield from ((name, one) for one in placed.reads)
        yield from self.flops.items()
        yield from (("OUTPUT", one) for one in self.outputs)

    @property
    def start(self) -> Bits:
        """Every flip-flop dead."""
        return (False,) * len(self.flops)

    def after(self, state: Bits, inputs: Bits) -> Bits:
        """Return what the flip-flops hold a tick later."""
        values = dict(zip((*self.inputs, *self.flops), (*inputs, *state), strict=True))
        for name, placed in self.gates.items():
            values[name] = RULES[placed.gate]([values[one] for one in placed.reads])
        return tuple(values[name] for name in self.flops.values())


_LINE = re.compile(r"(?:(?P<name>[^\s=(),]+)\s*=\s*)?(?P<word>\w+)\s*\((?P<reads>[^()]*)\)")
_OTHER_WORDS = {"BUFF": "BUF", "INV": "NOT"}


def read(text: str, name: str) -> Netlist:
    """Return the netlist that a text holds.

    Raises:
        NetlistError: a line is not of the form, or the lines make no netlist.
    """
    inputs: list[str] = []
    outputs: list[str] = []
    gates: dict[str, Placed] = {}
    flops: dict[str, str] = {}
    for number, line in enumerate(text.splitlines(), start=1):
        written = line.partition("#")[0].strip()
        if not written:
            continue
        place = f"{name}, line {number}"
        target, word, reads = _parts(written, place)
        defined = reads[0] if word == "INPUT" else target
        if any(defined in one for one in (inputs, gates, flops)):
            raise NetlistError(f"{place}: {defined} is defined twice")
        if target is None:
            (inputs if word == "INPUT" else outputs).append(reads[0])
        elif word == "DFF":
            flops[target] = reads[0]
        else:
            gates[target] = Placed(Gate(word), reads)
    return Netlist(name, tuple(inputs), tuple(outputs), ordered(gates, name), flops)


def _parts(written: str, place: str) -> tuple[str | None, str, tuple[str, ...]]:
    """Return what a line defines (None: nothing), its word, and what it reads."""
    found = _LINE.fullmatch(written)
    if found is None:
        raise NetlistError(f"{place}: neither INPUT(x), OUTPUT(x) nor x = GATE(a, b): {written}")
    target, word = found["name"], found["word"].upper()
    word = _OTHER_WORDS.get(word, word)
    reads = tuple(one.strip() for one in found["reads"].split(","))
    words = {"INPUT", "OUTPUT"} if target is None else {"DFF", *(gate.value for gate in Gate)}
    if word not in words:
        raise NetlistError(f"{place}: {word} is none of {', '.join(sorted(words))}")
    if not all(reads) or any(" " in one for one in reads):
        raise NetlistError(f"{place}: a name is missing between brackets or commas: {written}")
    single = target is None or word == "DFF" or Gate(word) in SINGLE
    if single and len(reads) != 1:
        raise NetlistError(f"{place}: {word} takes one name, not {len(reads)}")
    return target, word, reads


def ordered(gates: Mapping[str, Placed], name: str) -> Mapping[str, Placed]:
    """Return gates so that each reads only inputs, flip-flops and gates before it.

    Raises:
        NetlistError: there is no such order.
    """
    graph = {
        target: [one for one in placed.reads if one in gates] for target, placed in gates.items()
    }
    try:
        return {target: gates[target] for target in TopologicalSorter(graph).static_order()}
    except CycleError as error:
        circle = " <- ".join(error.args[1])
        raise NetlistError(f"{name}: gates read one another in a circle: {circle}") from None
