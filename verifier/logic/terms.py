"""From shared expressions to solver terms, each node once."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from verifier.logic.native import Model, Term
from verifier.system.expr import Node, Op


class Terms(Protocol):
    """Where a query is put together: a solver's room, or a text for another solver."""

    yes: Term
    no: Term

    def flag(self) -> Term:
        """Return a new Boolean unknown."""

    def whole(self) -> Term:
        """Return a new whole-number unknown."""

    def number(self, value: int) -> Term:
        """Return a fixed whole number."""

    def const(self, value: object) -> Term:
        """Return the constant for the truth of `value`."""

    def not_(self, inner: Term) -> Term:
        """Return the negation."""

    def and_(self, parts: Iterable[Term]) -> Term:
        """Return the conjunction."""

    def or_(self, parts: Iterable[Term]) -> Term:
        """Return the disjunction."""

    def implies(self, left: Term, right: Term) -> Term:
        """Return: where `left` holds, so does `right`."""

    def differ(self, left: Term, right: Term) -> Term:
        """Return: one of two Booleans holds and the other does not."""

    def if_(self, condition: Term, then: Term, other: Term) -> Term:
        """Return `then` where the condition holds, else `other`: both Booleans or both numbers."""

    def equal(self, left: Term, right: Term) -> Term:
        """Return: two numbers are equal."""

    def at_most(self, left: Term, right: Term) -> Term:
        """Return: `left` is at most `right`."""

    def above(self, left: Term, k: int) -> Term:
        """Return: `left` is more than the fixed number `k`."""

    def plus(self, left: Term, right: Term) -> Term:
        """Return the sum."""

    def minus(self, left: Term, right: Term) -> Term:
        """Return the difference."""

    def claim(self, term: Term) -> None:
        """Add a Boolean that must hold from now on."""


@dataclass(frozen=True, slots=True)
class Options:
    """One choice as binary digits, so that exactly one of its options is taken."""

    digits: tuple[Term, ...]
    taken: tuple[Term, ...]

    def chosen(self, model: Model) -> int:
        """Return the option that a model takes."""
        return sum(1 << place for place, digit in enumerate(self.digits) if model.flag(digit))


def options(room: Terms, count: int) -> Options:
    """Return a fresh choice among `count` options; claims that no others are taken."""
    digits = tuple(room.flag() for _ in range((count - 1).bit_length()))

    def pattern(option: int) -> Term:
        return room.and_(
            digit if option >> place & 1 else room.not_(digit) for place, digit in enumerate(digits)
        )

    for beyond in range(count, 1 << len(digits)):
        room.claim(room.not_(pattern(beyond)))
    return Options(digits, tuple(pattern(option) for option in range(count)))


def fixed_option(room: Terms, count: int, option: int) -> Options:
    """Return a choice that stands at a known option."""
    digits = tuple(room.const(option >> place & 1) for place in range((count - 1).bit_length()))
    return Options(digits, tuple(room.const(option == one) for one in range(count)))


def encode(
    room: Terms,
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
