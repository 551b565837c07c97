"""Whole numbers as thermometers: a fixed `low`, and as many live bits as they lie above it.

Bit i says that the number is more than `low + i`, so a live bit has only live bits before it. The
least of two numbers, what is left of a supply and a division by a fixed number are then picks among
bits that exist already, and no engine ever sees a number. Sums of such numbers are made as in
O. Bailleux, Y. Boufkhad, "Efficient CNF Encoding of Boolean Cardinality Constraints", CP 2003.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import assert_never

from verifier.design.model import Fold, Relation
from verifier.system.expr import Node, Op, Pool


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


@dataclass(slots=True, eq=False)
class Arithmetic:
    """Works with numbers over the expressions of a pool.

    `_place` knows of some bits which thermometer they are of and where they stand in it: of two
    bits of one thermometer the later implies the earlier, which no pool could see.
    """

    pool: Pool
    _place: dict[int, tuple[int, int]] = field(default_factory=dict)
    _thermometers: int = 0

    def known(self, bits: Sequence[Node]) -> None:
        """Note that each of the bits implies the one before it."""
        self._thermometers += 1
        for position, bit in enumerate(bits):
            if bit.op is not Op.CONST:
                self._place.setdefault(bit.number, (self._thermometers, position))

    def _both(self, one: Node, other: Node) -> Node:
        """Return the conjunction; of two bits of a thermometer it is the later one."""
        first, second = self._place.get(one.number), self._place.get(other.number)
        if first and second and first[0] == second[0]:
            return one if first[1] >= second[1] else other
        if self._implies(one, other) or self._implies(other, one):
            return self.pool.no
        return self.pool.and_(one, other)

    def _implies(self, one: Node, turned: Node) -> bool:
        """Say whether a bit implies the one whose negation is given."""
        if turned.op is not Op.NOT:
            return False
        first, second = self._place.get(one.number), self._place.get(turned.args[0].number)
        return bool(first and second and first[0] == second[0] and first[1] >= second[1])

    def _any(self, parts: Iterable[Node]) -> Node:
        """Return the disjunction; of bits of a thermometer the earliest is enough."""
        first: dict[int, tuple[int, Node]] = {}
        rest: list[Node] = []
        for part in parts:
            place = self._place.get(part.number)
            if place is None:
                rest.append(part)
            elif place[0] not in first or place[1] < first[place[0]][0]:
                first[place[0]] = (place[1], part)
        return self.pool.or_(*(bit for _, bit in first.values()), *rest)

    # --- reading ----------------------------------------------------------------------------------

    def at_least(self, number: Amount, bound: int) -> Node:
        """Return: the number is `bound` or more."""
        if bound <= number.low:
            return self.pool.yes
        return number.bits[bound - number.low - 1] if bound <= number.high else self.pool.no

    def compare(self, relation: Relation, left: Amount, right: Amount) -> Node:
        """Return: the numbers stand in the relation."""
        match relation:
            case Relation.EQUAL:
                less = self._less(left, right), self._less(right, left)
                return self.pool.not_(self.pool.or_(*less))
            case Relation.LESS:
                return self._less(left, right)
            case Relation.LESS_EQUAL:
                return self.pool.not_(self._less(right, left))
            case _:
                assert_never(relation)

    def _less(self, left: Amount, right: Amount) -> Node:
        """Return: some bound is reached on the right and not on the left."""
        if left.high < right.low:
            return self.pool.yes
        bounds = range(max(left.low + 1, right.low), min(left.high + 1, right.high) + 1)
        return self._any(
            self._both(self.at_least(right, bound), self.pool.not_(self.at_least(left, bound)))
            for bound in bounds
        )

    # --- making -----------------------------------------------------------------------------------

    def trimmed(self, low: int, bits: Sequence[Node]) -> Amount:
        """Return a number without bits that are always live or always dead."""
        first, last = 0, len(bits)
        while first < last and bits[first] is self.pool.yes:
            first += 1
        while last > first and bits[last - 1] is self.pool.no:
            last -= 1
        self.known(bits[first:last])
        return Amount(low + first, tuple(bits[first:last]))

    def within(self, number: Amount, low: int, high: int) -> Amount:
        """Return the number brought to the nearest end of `low` .. `high` where it lies outside."""
        bounds = range(low + 1, high + 1)
        return Amount(low, tuple(self.at_least(number, bound) for bound in bounds))

    def negative(self, number: Amount) -> Amount:
        """Return the number with its sign turned."""
        turned = tuple(self.pool.not_(bit) for bit in reversed(number.bits))
        self.known(turned)
        return Amount(-number.high, turned)

    def add(self, left: Amount, right: Amount) -> Amount:
        """Return the sum: it reaches a bound where the two reach shares that add up to it."""
        low = left.low + right.low
        if not left.bits or not right.bits:
            return Amount(low, left.bits or right.bits)
        bits = []
        for bound in range(low + 1, left.high + right.high + 1):
            least = max(left.low, bound - right.high)
            most = min(left.high, bound - right.low)
            shares = range(least, most + 1)
            bits.append(
                self._any(
                    self._both(self.at_least(left, share), self.at_least(right, bound - share))
                    for share in shares
                )
            )
        return self.trimmed(low, bits)

    def scale(self, kind: Fold, number: Amount, by: int) -> Amount:
        """Return the number times, divided by or modulo a fixed number, rounded down."""
        match kind:
            case Fold.TIMES:
                if by < 0:
                    return self.scale(kind, self.negative(number), -by)
                return Amount(number.low * by, tuple(bit for bit in number.bits for _ in range(by)))
            case Fold.DIV:
                low, high = number.low // by, number.high // by
                bounds = range(low + 1, high + 1)
                return Amount(low, tuple(self.at_least(number, bound * by) for bound in bounds))
            case Fold.MOD:
                return self._rest(number, by)
            case _:
                assert_never(kind)

    def _rest(self, number: Amount, by: int) -> Amount:
        turns = range(number.low // by, number.high // by + 1)
        bits = [
            self._any(
                self._both(
                    self.at_least(number, turn * by + bound),
                    self.pool.not_(self.at_least(number, (turn + 1) * by)),
                )
                for turn in turns
            )
            for bound in range(1, by)
        ]
        return self.trimmed(0, bits)

    def choose(self, condition: Node, then: Amount, other: Amount) -> Amount:
        """Return `then` where the condition holds, else `other`."""
        low, high = min(then.low, other.low), max(then.high, other.high)
        bits = [
            self._either(condition, self.at_least(then, bound), self.at_least(other, bound))
            for bound in range(low + 1, high + 1)
        ]
        return self.trimmed(low, bits)

    def _either(self, condition: Node, then: Node, other: Node) -> Node:
        pool = self.pool
        if condition.op is Op.NOT:
            condition, then, other = condition.args[0], other, then
        if then is pool.yes:
            return self._any((condition, other))
        if other is pool.no:
            return self._both(condition, then)
        return pool.if_(condition, then, other)

    def how_many(self, conditions: Sequence[Node]) -> Amount:
        """Return how many of the conditions hold."""
        if len(conditions) <= 1:
            return self.trimmed(0, conditions)
        half = len(conditions) // 2
        return self.add(self.how_many(conditions[:half]), self.how_many(conditions[half:]))
