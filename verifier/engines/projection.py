"""What a state must be like for some choices to meet a target."""

from verifier.system.expr import Node, Op, reachable
from verifier.system.fold import leaves
from verifier.system.model import System

MOST = 3000
"""More nodes than this are not worth it."""


def some_choice(system: System, node: Node) -> Node | None:
    """Return a node without choices: some choice makes `node` hold; None if it grows too large."""
    for choice in sorted(leaves([node])[Op.PICK]):
        count = len(system.choices[choice].options)
        node = system.pool.or_(*(_taken(system, node, choice, option) for option in range(count)))
        if len(reachable([node])) > MOST:
            return None
    return node


def _taken(system: System, root: Node, choice: int, option: int) -> Node:
    """Return the node with a choice that stands at an option."""
    pool = system.pool
    made: dict[int, Node] = {}
    for node in reachable([root]):
        args = [made[arg.number] for arg in node.args]
        match node.op:
            case Op.PICK if node.data[0] == choice:
                made[node.number] = pool.const(node.data[1] == option)
            case Op.NOT:
                made[node.number] = pool.not_(*args)
            case Op.AND:
                made[node.number] = pool.and_(*args)
            case Op.OR:
                made[node.number] = pool.or_(*args)
            case Op.IF:
                made[node.number] = pool.if_(*args)
            case _:
                made[node.number] = node
    return made[root.number]
