"""The order in which nets can be worked out within a tick, and the loops that have none.

Depth-first search over the graph of nets (Tarjan 1972), without recursion; kept state is where
the arrows end, since it answers at the next tick.
"""

from collections.abc import Iterator, Sequence

from verifier.design.model import (
    Above,
    Add,
    And,
    Compare,
    CondIf,
    Edge,
    Fixed,
    HowMany,
    Live,
    Net,
    Not,
    NumIf,
    Option,
    Or,
    Picked,
    PickIf,
    Read,
    ReadPick,
    Running,
    Scaled,
    Subtract,
    Term,
    Truth,
)


def children(term: Term) -> tuple[Term, ...]:
    """Return the terms directly inside a term."""
    match term:
        case Truth() | Live() | Above() | Fixed() | Read() | Option() | ReadPick():
            return ()
        case Not(inner) | Edge(inner) | Scaled(inner=inner):
            return (inner,)
        case And(parts) | Or(parts) | HowMany(parts):
            return parts
        case CondIf(condition, then, other):
            return (condition, then, other)
        case NumIf(condition, num_then, num_other):
            return (condition, num_then, num_other)
        case PickIf(condition, pick_then, pick_other):
            return (condition, pick_then, pick_other)
        case Compare(left=left, right=right) | Add(left, right) | Subtract(left, right):
            return (left, right)
        case Picked(pick):
            return (pick,)
        case Running(timer):
            return (timer.runs,)


def walk(term: Term) -> Iterator[Term]:
    """Yield a term and all that is inside it, without following nets."""
    stack: list[Term] = [term]
    while stack:
        one = stack.pop()
        yield one
        stack.extend(children(one))


def needs(net: Net) -> list[Net]:
    """Return the nets that a net's own expression reads in the same tick."""
    if net.term is None:
        return []
    found: dict[Net, None] = {}
    for term in walk(net.term):
        match term:
            case Live(read) | Read(read) | ReadPick(read):
                found[read] = None
            case _:
                pass
    return list(found)


def in_order(nets: Sequence[Net]) -> tuple[list[Net], list[Net]]:
    """Return the nets, each after all that it needs; and the first loop met, empty if none."""
    done: dict[Net, None] = {}
    for root in nets:
        if root in done:
            continue
        path: dict[Net, Iterator[Net]] = {root: iter(needs(root))}
        while path:
            net = next(reversed(path))
            following = next(path[net], None)
            if following is None:
                del path[net]
                done[net] = None
            elif following in path:
                loop = list(path)
                return list(done), loop[loop.index(following) :]
            elif following not in done:
                path[following] = iter(needs(following))
    return list(done), []
