"""From shared expressions to solver terms, each node once."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from verifier.logic.native import Model, Room, Term
from verifier.system.expr import Node, Op


@dataclass(frozen=True, slots=True)
class Options:
    """One choice as binary digits, so that exactly one of its options is taken."""

    digits: tuple[Term, ...]
    taken: tuple[Term, ...]

    def chosen(self, model: Model) -> int:
        """Return the option that a model takes."""
        return sum(1 << place for place, digit in enumerate(self.digits) if model.flag(digit))


def options(room: Room, count: int) -> Options:
    """Return a fresh choice among `count` options; claims that no others are taken."""
    digits = tuple(room.flag() for _ in range((count - 1).bit_length()))

    def pattern(option: int) -> Term:
        return room.and_(
            digit if option >> place & 1 else room.not_(digit) for place, digit in enumerate(digits)
        )

    for beyond in range(count, 1 << len(digits)):
        room.claim(room.not_(pattern(beyond)))
    return Options(digits, tuple(pattern(option) for option in range(count)))


def fixed_option(room: Room, count: int, option: int) -> Options:
    """Return a choice that stands at a known option."""
    digits = tuple(room.const(option >> place & 1) for place in range((count - 1).bit_length()))
    return Options(digits, tuple(room.const(option == one) for one in range(count)))


def encode(
    room: Room,
    nodes: Sequence[Node],
    leaf: Callable[[Node], Term],
    known: Mapping[int, Term],
) -> dict[int, Term]:
    """Return terms for nodes given in rising order, by number.

    `leaf` makes terms of choices, registers and clocks; arguments that are not among the nodes are
    taken from `known`.
    """
    made: dict[int, Term] = {}
    for node in nodes:
        args = [made[arg.number] if arg.number in made else known[arg.number] for arg in node.args]
        match node.op:
            case Op.CONST:
                term = room.const(node.data[0])
            case Op.NOT:
                term = room.not_(args[0])
            case Op.AND:
                term = room.and_(args)
            case Op.OR:
                term = room.or_(args)
            case Op.IF:
                term = room.if_(args[0], args[1], args[2])
            case _:
                term = leaf(node)
        made[node.number] = term
    return made
