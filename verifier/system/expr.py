"""Boolean expressions, shared: what the engines see.

Every expression lives in a `Pool`, which makes each at most once (hash-consing) and simplifies
while it makes. Nodes are numbered in the order in which they are made, so a node's number is larger
than those of its arguments: one pass over rising numbers folds any expression without recursion.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from enum import Enum


class Op(Enum):
    """What a node is. The comment tells what `data` and `args` of such a node hold."""

    CONST = "const"  # data: 0 or 1
    PICK = "pick"  # data: index of the choice, position of the option
    REGISTER = "register"  # data: index of the register
    ABOVE = "above"  # data: index of the clock, k; true while the clock shows more than k
    # Only invariants hold GAP, no system does; whoever evaluates or encodes one must know it.
    GAP = "gap"  # data: clocks i, j, k; true while clock i shows at most k ticks more than clock j
    NOT = "not"  # args: 1
    AND = "and"  # args: 2 or more
    OR = "or"  # args: 2 or more
    IF = "if"  # args: condition, then, other


@dataclass(frozen=True, slots=True, eq=False)
class Node:
    """One shared expression; equal expressions of a pool are the same object."""

    number: int
    op: Op
    args: tuple["Node", ...]
    data: tuple[int, ...]

    def __repr__(self) -> str:
        """Show the operator and the numbers of the arguments."""
        inner = [*map(str, self.data), *(f"#{arg.number}" for arg in self.args)]
        return f"#{self.number}:{self.op.value}({', '.join(inner)})"


SPREAD = 16  # parts of an inner list that are taken over into the outer one


def _number(node: Node) -> int:
    return node.number


@dataclass(slots=True, eq=False)
class Pool:
    """All expressions of one system."""

    nodes: list[Node] = field(default_factory=list)
    _known: dict[tuple[Op, tuple[int, ...], tuple[int, ...]], Node] = field(default_factory=dict)
    no: Node = field(init=False)
    yes: Node = field(init=False)

    def __post_init__(self) -> None:
        """Make the two constants, numbers 0 and 1."""
        self.no = self._make(Op.CONST, (), (0,))
        self.yes = self._make(Op.CONST, (), (1,))

    def _make(self, op: Op, args: tuple[Node, ...], data: tuple[int, ...] = ()) -> Node:
        key = (op, tuple(arg.number for arg in args), data)
        node = self._known.get(key)
        if node is None:
            node = Node(len(self.nodes), op, args, data)
            self.nodes.append(node)
            self._known[key] = node
        return node

    def exactly(self, op: Op, args: tuple[Node, ...], data: tuple[int, ...] = ()) -> Node:
        """Return a node as it is told, not simplified: for texts that are read back."""
        return self._make(op, args, data)

    def const(self, value: object) -> Node:
        """Return the constant for the truth of `value`."""
        return self.yes if value else self.no

    def pick(self, choice: int, option: int) -> Node:
        """Return: choice number `choice` stands at `option` now."""
        return self._make(Op.PICK, (), (choice, option))

    def register(self, index: int) -> Node:
        """Return: the register is live now."""
        return self._make(Op.REGISTER, (), (index,))

    def above(self, clock: int, ticks: int) -> Node:
        """Return: the clock shows more than `ticks` now (`ticks` below 0: always)."""
        return self.yes if ticks < 0 else self._make(Op.ABOVE, (), (clock, ticks))

    def gap(self, one: int, other: int, ticks: int) -> Node:
        """Return: clock `one` - clock `other` <= `ticks` now (for invariants; below 0 too)."""
        if one == other:
            return self.const(ticks >= 0)
        return self._make(Op.GAP, (), (one, other, ticks))

    def not_(self, inner: Node) -> Node:
        """Return the negation."""
        if inner.op is Op.CONST:
            return self.const(not inner.data[0])
        if inner.op is Op.NOT:
            return inner.args[0]
        return self._make(Op.NOT, (inner,))

    def and_(self, *parts: Node) -> Node:
        """Return the conjunction (yes if there is nothing to join)."""
        return self._join(Op.AND, parts, self.yes, self.no)

    def or_(self, *parts: Node) -> Node:
        """Return the disjunction (no if there is nothing to join)."""
        return self._join(Op.OR, parts, self.no, self.yes)

    def _join(self, op: Op, parts: Iterable[Node], unit: Node, zero: Node) -> Node:
        flat: dict[int, Node] = {}
        for part in parts:
            # A long inner list stays one part, or a chain of a thousand would be copied each time.
            spread = part.op is op and len(part.args) <= SPREAD
            for one in part.args if spread else (part,):
                if one is zero:
                    return zero
                if one is not unit:
                    flat[one.number] = one
        kept = []
        for one in flat.values():
            if one.op is Op.NOT and one.args[0].number in flat:
                return zero
            # Of `a and (a or b)` only `a` is left, and the same with the two words changed round.
            dual = one.op in {Op.AND, Op.OR} and one.op is not op
            if not (dual and any(arg.number in flat for arg in one.args)):
                kept.append(one)
        if not kept:
            return unit
        if len(kept) == 1:
            return kept[0]
        return self._make(op, tuple(sorted(kept, key=_number)))

    def if_(self, condition: Node, then: Node, other: Node) -> Node:
        """Return `then` where the condition holds, else `other`."""
        if condition is self.yes or then is other:
            return then
        if condition is self.no:
            return other
        if condition.op is Op.NOT:
            condition, then, other = condition.args[0], other, then
        if then is self.yes or then is condition:
            return self.or_(condition, other)
        if then is self.no:
            return self.and_(self.not_(condition), other)
        if other is self.no or other is condition:
            return self.and_(condition, then)
        if other is self.yes:
            return self.or_(self.not_(condition), then)
        return self._make(Op.IF, (condition, then, other))


def reachable(roots: Sequence[Node]) -> list[Node]:
    """Return every node under the roots, each once, arguments before the nodes that use them."""
    seen: dict[int, Node] = {}
    stack = list(roots)
    while stack:
        node = stack.pop()
        if node.number not in seen:
            seen[node.number] = node
            stack.extend(node.args)
    return [seen[number] for number in sorted(seen)]
