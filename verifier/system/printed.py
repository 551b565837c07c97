"""Expressions of a cone printed as lines of Python.

`r3` is register 3, `c2` clock 2, `p1` the position of choice 1, `d2` what clock 2 is drawn to show.
An expression used once is written where it is used; one used more often is a line of its own, `n40`
for node 40. What depends on choices alone is worked out once, before the ticks.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import assert_never

from verifier.system.expr import Node, Op, reachable
from verifier.system.model import Cone

DEEPEST = 12  # brackets in one line; Python refuses two hundred


def is_leaf(node: Node) -> bool:
    """Say whether a node is written as a word or two wherever it is used."""
    return node.op in {Op.CONST, Op.REGISTER}


def written(node: Node, args: Sequence[str]) -> str:
    """Return how a node is written over what its arguments are written as."""
    match node.op:
        case Op.CONST:
            return "True" if node.data[0] else "False"
        case Op.PICK:
            return f"p{node.data[0]} == {node.data[1]}"
        case Op.REGISTER:
            return f"r{node.data[0]}"
        case Op.ABOVE:
            return f"c{node.data[0]} > {node.data[1]}"
        case Op.GAP:
            return f"c{node.data[0]} - c{node.data[1]} <= {node.data[2]}"
        case Op.NOT:
            return f"not {args[0]}"
        case Op.AND:
            return " and ".join(args)
        case Op.OR:
            return " or ".join(args)
        case Op.IF:
            return f"{args[1]} if {args[0]} else {args[2]}"
        case _:
            assert_never(node.op)


@dataclass(slots=True)
class Printer:
    """Prints the expressions under some roots, each as `write` says."""

    roots: Sequence[Node]
    write: Callable[[Node, Sequence[str]], str] = written
    before: list[str] = field(default_factory=list)
    lines: list[str] = field(default_factory=list)
    _text: dict[int, str] = field(default_factory=dict)
    _depth: dict[int, int] = field(default_factory=dict)
    _steady: dict[int, bool] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Print everything, each after what it uses."""
        nodes = reachable(self.roots)
        uses = Counter(root.number for root in self.roots)
        for node in nodes:
            uses.update(arg.number for arg in node.args)
        for node in nodes:
            self._print(node, uses[node.number])

    def text(self, node: Node) -> str:
        """Return how a node under the roots is written where it is used."""
        return self._text[node.number]

    def _print(self, node: Node, uses: int) -> None:
        depth = 1 + max((self._depth[arg.number] for arg in node.args), default=0)
        # Steady: it hangs on choices alone.
        steady = node.op in {Op.CONST, Op.PICK} or (
            bool(node.args) and all(self._steady[arg.number] for arg in node.args)
        )
        text = self.write(node, [self._text[arg.number] for arg in node.args])
        if (uses > 1 or depth > DEEPEST or steady) and not is_leaf(node):
            where = self.before if steady else self.lines
            where.append(f"n{node.number} = {text}")
            text, depth = f"n{node.number}", 0
        elif not is_leaf(node):
            text = f"({text})"
        self._text[node.number], self._depth[node.number] = text, depth
        self._steady[node.number] = steady


def entry(cone: Cone) -> list[str]:
    """Return lines that unpack what a function is given, each with the name people know it by."""
    system = cone.system
    lines = [
        f"r{index} = registers[{index}]  # {system.registers[index].name}"
        for index in cone.registers
    ]
    for index in cone.clocks:
        clock = system.clocks[index]
        lines.append(f"c{index} = clocks[{index}]  # {clock.name}")
        if clock.ranged:
            lines.append(f"d{index} = draws[{index}]  # what {clock.name} is drawn to show")
    for index in cone.choices:
        choice = system.choices[index]
        lines.append(f"p{index} = choices[{index}]  # {choice.name}: {', '.join(choice.options)}")
    return [_one_line(line) for line in lines]


def _one_line(text: str) -> str:
    """Return the text so that a name in it cannot end its comment."""
    return "".join(letter if letter.isprintable() else " " for letter in text)


def changing(cone: Cone) -> list[Node]:
    """Return the expressions that say what comes next, one for each time it is written."""
    nodes = [cone.system.registers[index].next for index in cone.registers]
    for index in cone.clocks:
        clock = cone.system.clocks[index]
        nodes.extend([*(load.when for load in clock.loads), clock.runs])
    return nodes


def next_register(cone: Cone, printer: Printer, index: int) -> str:
    """Return a line for what a register is at the next tick."""
    return f"next_r{index} = {printer.text(cone.system.registers[index].next)}"


def next_clock(cone: Cone, printer: Printer, index: int) -> str:
    """Return a line for what a clock shows at the next tick."""
    clock = cone.system.clocks[index]
    runs = "" if clock.runs is cone.system.pool.yes else f" and {printer.text(clock.runs)}"
    text = f"(c{index} - 1 if c{index}{runs} else c{index})"
    for load in reversed(clock.loads):
        value = str(load.low)
        if load.turned:
            value = f"max({load.low} - c{index}, 0)"
        elif load.low != load.high:
            value = f"drawn({index}, d{index}, {load.low}, {load.high})"
        text = f"({value} if {printer.text(load.when)} else {text})"
    return f"next_c{index} = {text[1:-1]}"


def swap(cone: Cone) -> list[str]:
    """Return lines that make what comes next what is."""
    names = [f"r{index}" for index in cone.registers] + [f"c{index}" for index in cone.clocks]
    return [f"{name} = next_{name}" for name in names]


def state(cone: Cone) -> str:
    """Return the registers and clocks of the whole system; those outside the cone rest."""
    system = cone.system
    registers = ["False"] * len(system.registers)
    clocks = ["0"] * len(system.clocks)
    for index in cone.registers:
        registers[index] = f"r{index}"
    for index in cone.clocks:
        clocks[index] = f"c{index}"
    return f"{tuple_of(registers)}, {tuple_of(clocks)}"


def tuple_of(parts: Sequence[str]) -> str:
    """Return a tuple of expressions."""
    return f"({', '.join(parts)}{',' if parts else ''})"
