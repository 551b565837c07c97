"""What a term may still be while only some of what it reads is known.

Terms are followed with intervals: a condition is yes, no or open, a number lies between two bounds,
a choice is one of some options. So one can ask whether a few readings alone settle a term.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import assert_never

from verifier.design import model as design
from verifier.design.model import Net, Timer
from verifier.system.terms import inner_terms

OPEN = (0, 1)


@dataclass(frozen=True, slots=True)
class Leaf:
    """Something read at one tick: a net, or whether a timer shows more than `bound`."""

    item: Net | Timer
    tick: int
    bound: int = 0


Bounds = tuple[int, int]
Look = Callable[[Leaf], Bounds]
"""The least and the most that a leaf may be; of a choice, of its position."""


def leaves(term: design.Term, tick: int) -> Iterator[Leaf]:
    """Yield all that a term reads at a tick, and before it where it looks for an edge."""
    match term:
        case design.Live(net) | design.Read(net) | design.ReadPick(net):
            yield Leaf(net, tick)
        case design.Above(timer, ticks):
            yield Leaf(timer, tick, ticks)
        case design.Running(timer):
            yield from leaves(timer.runs, tick)
        case design.Edge(inner):
            yield from leaves(inner, tick)
            if tick:
                yield from leaves(inner, tick - 1)
        case _:
            for part in inner_terms(term):
                yield from leaves(part, tick)


def condition(term: design.Cond, tick: int, look: Look) -> Bounds:
    """Return (1, 1) where a condition holds for sure, (0, 0) where it does not, else OPEN."""
    match term:
        case design.Truth(value):
            return int(value), int(value)
        case design.Live(net):
            return look(Leaf(net, tick))
        case design.Above(timer, ticks):
            return look(Leaf(timer, tick, ticks))
        case design.Running(timer):
            return condition(timer.runs, tick, look)
        case design.Not(inner):
            low, high = condition(inner, tick, look)
            return 1 - high, 1 - low
        case design.And(parts) | design.Or(parts):
            return _joined(term, [condition(part, tick, look) for part in parts])
        case design.CondIf(asked, then, other):
            return _either(
                condition(asked, tick, look),
                lambda: condition(then, tick, look),
                lambda: condition(other, tick, look),
            )
        case design.Edge(inner, rising):
            return _edge(inner, tick, look, rising=rising)
        case design.Compare() | design.Picked():
            return _asked(term, tick, look)
        case _:
            assert_never(term)


def _asked(term: design.Compare | design.Picked, tick: int, look: Look) -> Bounds:
    match term:
        case design.Compare(relation, left, right):
            return _compared(relation, number(left, tick, look), number(right, tick, look))
        case design.Picked(pick, option):
            found = options(pick, tick, look)
            return int(found == {option}), int(option in found)
        case _:
            assert_never(term)


def _joined(term: design.And | design.Or, parts: Sequence[Bounds]) -> Bounds:
    lows, highs = [low for low, _ in parts], [high for _, high in parts]
    match term:
        case design.And():
            return min(lows, default=1), min(highs, default=1)
        case design.Or():
            return max(lows, default=0), max(highs, default=0)
        case _:
            assert_never(term)


def _edge(inner: design.Cond, tick: int, look: Look, *, rising: bool) -> Bounds:
    low, high = condition(inner, tick, look)
    before = condition(inner, tick - 1, look) if tick else (0, 0)
    if rising:
        return min(low, 1 - before[1]), min(high, 1 - before[0])
    return min(1 - high, before[0]), min(1 - low, before[1])


def _either(asked: Bounds, then: Callable[[], Bounds], other: Callable[[], Bounds]) -> Bounds:
    if asked == (1, 1):
        return then()
    if asked == (0, 0):
        return other()
    one, two = then(), other()
    return min(one[0], two[0]), max(one[1], two[1])


def _compared(relation: design.Relation, left: Bounds, right: Bounds) -> Bounds:
    match relation:
        case design.Relation.EQUAL:
            same = left == right and left[0] == left[1]
            return int(same), int(left[0] <= right[1] and right[0] <= left[1])
        case design.Relation.LESS:
            return int(left[1] < right[0]), int(left[0] < right[1])
        case design.Relation.LESS_EQUAL:
            return int(left[1] <= right[0]), int(left[0] <= right[1])
        case _:
            assert_never(relation)


def number(term: design.Num, tick: int, look: Look) -> Bounds:
    """Return the least and the most that a number may be."""
    match term:
        case design.Fixed(value):
            return value, value
        case design.Read(net):
            return look(Leaf(net, tick))
        case design.Add(left, right):
            one, two = number(left, tick, look), number(right, tick, look)
            return one[0] + two[0], one[1] + two[1]
        case design.Subtract(left, right):
            one, two = number(left, tick, look), number(right, tick, look)
            return one[0] - two[1], one[1] - two[0]
        case design.Scaled(kind, inner, by):
            return _scaled(kind, number(inner, tick, look), by)
        case design.NumIf(asked, then, other):
            return _either(
                condition(asked, tick, look),
                lambda: number(then, tick, look),
                lambda: number(other, tick, look),
            )
        case design.HowMany(parts):
            each = [condition(part, tick, look) for part in parts]
            return sum(low for low, _ in each), sum(high for _, high in each)
        case _:
            assert_never(term)


def _scaled(kind: design.Fold, inner: Bounds, by: int) -> Bounds:
    match kind:
        case design.Fold.TIMES:
            ends = sorted((inner[0] * by, inner[1] * by))
            return ends[0], ends[1]
        case design.Fold.DIV:
            return inner[0] // by, inner[1] // by
        case design.Fold.MOD:
            wraps = inner[1] - inner[0] >= by or inner[0] % by > inner[1] % by
            return (0, by - 1) if wraps else (inner[0] % by, inner[1] % by)
        case _:
            assert_never(kind)


def options(term: design.Pick, tick: int, look: Look) -> set[int]:
    """Return the options at which a choice may stand."""
    match term:
        case design.Option(option):
            return {option}
        case design.ReadPick(net):
            low, high = look(Leaf(net, tick))
            return set(range(low, high + 1))
        case design.PickIf(asked, then, other):
            match condition(asked, tick, look):
                case (1, 1):
                    return options(then, tick, look)
                case (0, 0):
                    return options(other, tick, look)
                case _:
                    return options(then, tick, look) | options(other, tick, look)
        case _:
            assert_never(term)


def may_be(term: design.Term, tick: int, look: Look) -> Bounds:
    """Return the least and the most that a term may be; it is settled where they are one."""
    match term:
        case (
            design.Fixed()
            | design.Read()
            | design.Add()
            | design.Subtract()
            | design.Scaled()
            | design.NumIf()
            | design.HowMany()
        ):
            return number(term, tick, look)
        case design.Option() | design.ReadPick() | design.PickIf():
            found = options(term, tick, look)
            return min(found), max(found)
        case _:
            return condition(term, tick, look)
