"""One pass over shared expressions, without recursion, and the plainest evaluation built on it."""

from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar, assert_never

from verifier.system.expr import Node, Op, Pool, reachable

T = TypeVar("T")


def fold(roots: Sequence[Node], visit: Callable[[Node, tuple[T, ...]], T]) -> dict[int, T]:
    """Return what `visit` makes of each node under the roots, by node number.

    `visit` is called once a node, with what it made of the node's arguments.
    """
    made: dict[int, T] = {}
    for node in reachable(roots):
        made[node.number] = visit(node, tuple(made[arg.number] for arg in node.args))
    return made


def replaced(pool: Pool, roots: Sequence[Node], leaf: Callable[[Node], Node]) -> Mapping[int, Node]:
    """Return every node under the roots, by number, with other nodes in the place of its leaves."""

    def visit(node: Node, args: tuple[Node, ...]) -> Node:
        match node.op:
            case Op.CONST | Op.PICK | Op.REGISTER | Op.ABOVE | Op.GAP:
                return leaf(node)
            case Op.NOT:
                return pool.not_(args[0])
            case Op.AND:
                return pool.and_(*args)
            case Op.OR:
                return pool.or_(*args)
            case Op.IF:
                return pool.if_(args[0], args[1], args[2])
            case _:
                assert_never(node.op)

    return fold(roots, visit)


def evaluate(
    roots: Sequence[Node],
    choices: Sequence[int],
    registers: Sequence[bool],
    clocks: Sequence[int],
) -> dict[int, bool]:
    """Return the truth of every node under the roots at one tick, by node number."""

    def visit(node: Node, args: tuple[bool, ...]) -> bool:
        match node.op:
            case Op.CONST:
                return bool(node.data[0])
            case Op.PICK:
                return choices[node.data[0]] == node.data[1]
            case Op.REGISTER:
                return registers[node.data[0]]
            case Op.ABOVE | Op.GAP:
                return _compared(node, clocks)
            case Op.NOT:
                return not args[0]
            case Op.AND:
                return all(args)
            case Op.OR:
                return any(args)
            case Op.IF:
                return args[1] if args[0] else args[2]
            case _:
                assert_never(node.op)

    return fold(roots, visit)


def _compared(node: Node, clocks: Sequence[int]) -> bool:
    match node.data:
        case (clock, ticks):
            return clocks[clock] > ticks
        case (one, other, ticks):
            return clocks[one] - clocks[other] <= ticks
        case _:
            raise AssertionError(f"no comparison of clocks: {node}")


def leaves(roots: Sequence[Node]) -> Mapping[Op, frozenset[int]]:
    """Return the indices of the choices, registers and clocks that the roots read, by kind."""
    found: dict[Op, set[int]] = {Op.PICK: set(), Op.REGISTER: set(), Op.ABOVE: set()}
    for node in reachable(roots):
        if node.op is Op.GAP:
            found[Op.ABOVE].update(node.data[:2])
        elif node.op in found:
            found[node.op].add(node.data[0])
    return {op: frozenset(indices) for op, indices in found.items()}
