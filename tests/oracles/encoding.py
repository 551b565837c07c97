"""What the oracles that look at a lowered system share: nodes put into any logic, and their cone.

Folding and cones of the verifier itself are not used, so that they are looked at too.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol, TypeVar, assert_never

from verifier.system.expr import Node, Op
from verifier.system.model import System

T = TypeVar("T")


class Logic(Protocol[T]):
    """How something is made of its parts."""

    def const(self, value: bool) -> T: ...
    def not_(self, one: T) -> T: ...
    def and_(self, parts: Sequence[T]) -> T: ...
    def or_(self, parts: Sequence[T]) -> T: ...
    def if_(self, condition: T, then: T, other: T) -> T: ...


class Encoder(dict[int, T]):
    """Puts nodes into a logic, each once; `leaf` gives what choices, registers and clocks are."""

    def __init__(self, logic: Logic[T], leaf: Callable[[Node], T]) -> None:
        """Begin with nothing known."""
        super().__init__()
        self.logic, self.leaf = logic, leaf

    def of(self, node: Node) -> T:
        """Return a node in the logic."""
        stack = [node]
        while stack:
            top = stack[-1]
            missing = [one for one in top.args if one.number not in self]
            if missing:
                stack.extend(missing)
            else:
                self[stack.pop().number] = self._made(top)
        return self[node.number]

    def _made(self, node: Node) -> T:
        args = [self[one.number] for one in node.args]
        match node.op:
            case Op.CONST:
                return self.logic.const(bool(node.data[0]))
            case Op.PICK | Op.REGISTER | Op.ABOVE:
                return self.leaf(node)
            case Op.NOT:
                return self.logic.not_(args[0])
            case Op.AND:
                return self.logic.and_(args)
            case Op.OR:
                return self.logic.or_(args)
            case Op.IF:
                return self.logic.if_(args[0], args[1], args[2])
            case Op.GAP:
                raise AssertionError("no system has gaps")
            case _:
                assert_never(node.op)


@dataclass(frozen=True, slots=True)
class Needed:
    """Choices, registers and clocks that some nodes hang on, now or later."""

    choices: tuple[int, ...]
    registers: tuple[int, ...]
    clocks: tuple[int, ...]


def needed(system: System, roots: Sequence[Node]) -> Needed:
    """Return what some nodes hang on; what is allowed always counts."""
    found: dict[Op, set[int]] = {Op.PICK: set(), Op.REGISTER: set(), Op.ABOVE: set()}
    seen: set[int] = set()
    stack = [*roots, system.allowed]
    while stack:
        node = stack.pop()
        if node.number in seen:
            continue
        seen.add(node.number)
        stack.extend(node.args)
        if node.op in found and node.data[0] not in found[node.op]:
            index = node.data[0]
            found[node.op].add(index)
            if node.op is Op.REGISTER:
                stack.append(system.registers[index].next)
            if node.op is Op.ABOVE:
                clock = system.clocks[index]
                stack += [clock.runs, *(load.when for load in clock.loads)]
    return Needed(*(tuple(sorted(found[op])) for op in (Op.PICK, Op.REGISTER, Op.ABOVE)))
