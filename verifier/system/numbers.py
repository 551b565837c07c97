"""Whole numbers as thermometers: a fixed `low`, and as many live bits as they lie above it.

Bit i says that the number is more than `low + i`, so a live bit has only live bits before it. The
least of two numbers, what is left of a supply and a division by a fixed number are then picks among
bits that exist already, and no engine ever sees a number.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import assert_never

from verifier.design.model import Fold, Relation
from verifier.system.expr import Node, Pool


@dataclass(frozen=True, slots=True)
class Amount:
    """A number from `low` to `low + len(bits)`."""

    low: int
    bits: tuple[Node, ...]

    @property
    def high(self) -> int:
        """The most it can be."""
        return self.low + len(self.bits)


def fixed(value: int) -> Amount:
    """Return a constant."""
    return Amount(value, ())


def at_least(pool: Pool, number: Amount, bound: int) -> Node:
    """Return: the number is `bound` or more."""
    if bound <= number.low:
        return pool.yes
    return number.bits[bound - number.low - 1] if bound <= number.high else pool.no


def within(pool: Pool, number: Amount, low: int, high: int) -> Amount:
    """Return the number brought to the nearest end of `low` .. `high` where it lies outside."""
    return Amount(low, tuple(at_least(pool, number, bound) for bound in range(low + 1, high + 1)))


def trimmed(pool: Pool, low: int, bits: Sequence[Node]) -> Amount:
    """Return the number without bits that are always live or always dead."""
    first = 0
    while first < len(bits) and bits[first] is pool.yes:
        first += 1
    last = len(bits)
    while last > first and bits[last - 1] is pool.no:
        last -= 1
    return Amount(low + first, tuple(bits[first:last]))


def negative(pool: Pool, number: Amount) -> Amount:
    """Return the number with its sign turned."""
    return Amount(-number.high, tuple(pool.not_(bit) for bit in reversed(number.bits)))


def add(pool: Pool, left: Amount, right: Amount) -> Amount:
    """Return the sum: it reaches a bound where the two reach shares that add up to the bound."""
    low = left.low + right.low
    if not left.bits or not right.bits:
        return Amount(low, left.bits or right.bits)
    bits = []
    for bound in range(low + 1, left.high + right.high + 1):
        least = max(left.low, bound - right.high)
        most = min(left.high, bound - right.low)
        bits.append(
            pool.or_(
                *(
                    pool.and_(at_least(pool, left, share), at_least(pool, right, bound - share))
                    for share in range(least, most + 1)
                )
            )
        )
    return trimmed(pool, low, bits)


def scale(pool: Pool, kind: Fold, number: Amount, by: int) -> Amount:
    """Return the number times, divided by or modulo a fixed number, rounded down."""
    match kind:
        case Fold.TIMES:
            if by < 0:
                return scale(pool, kind, negative(pool, number), -by)
            return Amount(number.low * by, tuple(bit for bit in number.bits for _ in range(by)))
        case Fold.DIV:
            low, high = number.low // by, number.high // by
            bounds = range(low + 1, high + 1)
            return Amount(low, tuple(at_least(pool, number, bound * by) for bound in bounds))
        case Fold.MOD:
            return _rest(pool, number, by)
        case _:
            assert_never(kind)


def _rest(pool: Pool, number: Amount, by: int) -> Amount:
    turns = range(number.low // by, number.high // by + 1)
    bits = [
        pool.or_(
            *(
                pool.and_(
                    at_least(pool, number, turn * by + bound),
                    pool.not_(at_least(pool, number, (turn + 1) * by)),
                )
                for turn in turns
            )
        )
        for bound in range(1, by)
    ]
    return trimmed(pool, 0, bits)


def choose(pool: Pool, condition: Node, then: Amount, other: Amount) -> Amount:
    """Return `then` where the condition holds, else `other`."""
    low, high = min(then.low, other.low), max(then.high, other.high)
    bits = [
        pool.if_(condition, at_least(pool, then, bound), at_least(pool, other, bound))
        for bound in range(low + 1, high + 1)
    ]
    return trimmed(pool, low, bits)


def how_many(pool: Pool, conditions: Sequence[Node]) -> Amount:
    """Return how many of the conditions hold."""
    total = fixed(0)
    for condition in conditions:
        total = add(pool, total, trimmed(pool, 0, (condition,)))
    return total


def compare(pool: Pool, relation: Relation, left: Amount, right: Amount) -> Node:
    """Return: the numbers stand in the relation."""
    bounds = range(min(left.low, right.low) + 1, max(left.high, right.high) + 1)
    pairs = [(at_least(pool, left, bound), at_least(pool, right, bound)) for bound in bounds]
    match relation:
        case Relation.EQUAL:
            return pool.and_(*(pool.if_(one, two, pool.not_(two)) for one, two in pairs))
        case Relation.LESS:
            return pool.or_(*(pool.and_(pool.not_(one), two) for one, two in pairs))
        case Relation.LESS_EQUAL:
            return pool.and_(*(pool.or_(pool.not_(one), two) for one, two in pairs))
        case _:
            assert_never(relation)
