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
    Timer,
    Truth,
)

Item = Net | Timer


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


def needs(item: Item) -> list[Item]:
    """Return what the own expression of a net, or what a timer runs while, reads in its tick.

    Only `X ends` reads what a timer runs while; what the timer shows is kept.
    """
    found: dict[Item, None] = {}
    term = item.runs if isinstance(item, Timer) else item.term
    stack: list[Term] = [] if term is None else [term]
    while stack:
        one = stack.pop()
        match one:
            case Live(read) | Read(read) | ReadPick(read) | Running(read):
                found[read] = None
            case _:
                stack.extend(children(one))
    return list(found)


def in_order(nets: Sequence[Net], timers: Sequence[Timer]) -> tuple[list[Net], list[Item]]:
    """Return the nets, each after all that it needs; and the first loop met, empty if none."""
    done: dict[Item, None] = {}
    roots: tuple[Item, ...] = (*nets, *timers)
    for root in roots:
        if root in done:
            continue
        path: dict[Item, Iterator[Item]] = {root: iter(needs(root))}
        while path:
            item = next(reversed(path))
            following = next(path[item], None)
            if following is None:
                del path[item]
                done[item] = None
            elif following in path:
                loop = list(path)
                return [], loop[loop.index(following) :]
            elif following not in done:
                path[following] = iter(needs(following))
    return [item for item in done if isinstance(item, Net)], []
