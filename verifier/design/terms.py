"""Small makers of terms that fold constants, so that fixed things are known to be fixed."""

from collections.abc import Iterable

from verifier.design.model import (
    Above,
    Add,
    And,
    Compare,
    Cond,
    CondIf,
    Fixed,
    Fold,
    Net,
    Not,
    Num,
    NumIf,
    Option,
    Or,
    Pick,
    Picked,
    PickIf,
    Read,
    Relation,
    Scaled,
    Subtract,
    Timer,
    Truth,
)
from verifier.syntax.tree import Operator

YES = Truth(value=True)
NO = Truth(value=False)


def negate(inner: Cond) -> Cond:
    """Not."""
    match inner:
        case Truth(value):
            return NO if value else YES
        case Not(inside):
            return inside
        case _:
            return Not(inner)


def all_of(parts: Iterable[Cond]) -> Cond:
    """And, with constants folded away."""
    kept = [part for part in parts if part != YES]
    if NO in kept:
        return NO
    return kept[0] if len(kept) == 1 else And(tuple(kept)) if kept else YES


def any_of(parts: Iterable[Cond]) -> Cond:
    """Or, with constants folded away."""
    kept = [part for part in parts if part != NO]
    if YES in kept:
        return YES
    return kept[0] if len(kept) == 1 else Or(tuple(kept)) if kept else NO


def cond_if(condition: Cond, then: Cond, other: Cond) -> Cond:
    """Choose between two conditions."""
    match condition:
        case Truth(value):
            return then if value else other
        case _:
            return then if then == other else CondIf(condition, then, other)


def num_if(condition: Cond, then: Num, other: Num) -> Num:
    """Choose between two numbers."""
    match condition:
        case Truth(value):
            return then if value else other
        case _:
            return then if then == other else NumIf(condition, then, other)


def pick_if(condition: Cond, then: Pick, other: Pick) -> Pick:
    """Choose between two options."""
    match condition:
        case Truth(value):
            return then if value else other
        case _:
            return then if then == other else PickIf(condition, then, other)


def picked(pick: Pick, option: int) -> Cond:
    """Say whether a choice stands at an option."""
    match pick:
        case Option(fixed):
            return YES if fixed == option else NO
        case _:
            return Picked(pick, option)


def add(left: Num, right: Num) -> Num:
    """Sum."""
    match left, right:
        case Fixed(one), Fixed(other):
            return Fixed(one + other)
        case Fixed(0), _:
            return right
        case _, Fixed(0):
            return left
        case _:
            return Add(left, right)


def subtract(left: Num, right: Num) -> Num:
    """Difference."""
    match left, right:
        case Fixed(one), Fixed(other):
            return Fixed(one - other)
        case _, Fixed(0):
            return left
        case _:
            return Subtract(left, right)


def scaled(fold: Fold, inner: Num, by: int) -> Num:
    """Multiply by, divide by or take modulo a fixed number."""
    match inner:
        case Fixed(value):
            results = {Fold.TIMES: value * by}
            if fold is not Fold.TIMES:
                results |= {Fold.DIV: value // by, Fold.MOD: value % by}
            return Fixed(results[fold])
        case _:
            return Scaled(fold, inner, by)


def compare(relation: Relation, left: Num, right: Num) -> Cond:
    """Compare two numbers."""
    match left, right:
        case Fixed(one), Fixed(other):
            truth = {
                Relation.EQUAL: one == other,
                Relation.LESS: one < other,
                Relation.LESS_EQUAL: one <= other,
            }
            return YES if truth[relation] else NO
        case _:
            return Compare(relation, left, right)


def related(operator: Operator, left: Num, right: Num) -> Cond:
    """Compare two numbers by an operator of the language."""
    match operator:
        case Operator.EQUAL | Operator.IS:
            return compare(Relation.EQUAL, left, right)
        case Operator.DIFFERS | Operator.IS_NOT:
            return negate(compare(Relation.EQUAL, left, right))
        case Operator.LESS:
            return compare(Relation.LESS, left, right)
        case Operator.LESS_EQUAL:
            return compare(Relation.LESS_EQUAL, left, right)
        case Operator.MORE:
            return compare(Relation.LESS, right, left)
        case _:
            return compare(Relation.LESS_EQUAL, right, left)


def above(timer: Timer, ticks: int) -> Cond:
    """Say whether a timer shows more than `ticks` (below 0: always)."""
    return YES if ticks < 0 else Above(timer, ticks)


def timer_related(operator: Operator, timer: Timer, ticks: int) -> Cond:
    """Compare a timer with a fixed number of ticks."""
    match operator:
        case Operator.MORE:
            return above(timer, ticks)
        case Operator.MORE_EQUAL:
            return above(timer, ticks - 1)
        case Operator.LESS:
            return negate(above(timer, ticks - 1))
        case Operator.LESS_EQUAL:
            return negate(above(timer, ticks))
        case _:
            same = all_of((above(timer, ticks - 1), negate(above(timer, ticks))))
            return same if operator in {Operator.EQUAL, Operator.IS} else negate(same)


def some(net: Net) -> Cond:
    """Say whether a net with an amount carries one unit or more."""
    return Compare(Relation.LESS, Fixed(0), Read(net))
