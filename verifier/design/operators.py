"""What operators make of two values: comparisons and arithmetic, with types and units checked."""

from verifier.design import terms, wording
from verifier.design.coerce import as_condition, ticks
from verifier.design.loops import walk
from verifier.design.model import Cond, Fixed, Fold, Num, Term
from verifier.design.scope import Mistake
from verifier.design.values import (
    ChoiceValue,
    FlagValue,
    NumberValue,
    PartValue,
    RoomValue,
    TimerValue,
    TimeValue,
    Value,
)
from verifier.syntax import tree
from verifier.syntax.mistakes import LONGEST_NUMBER
from verifier.syntax.tree import Operator

LARGEST = 10**LONGEST_NUMBER - 1
"""No fixed number further from 0 than this, as none that is written."""

LONGEST_TIME = LARGEST * 3_600_000_000_000
"""Nanoseconds; no fixed time longer than this, as none that is written."""

COMPARISONS = {
    Operator.EQUAL,
    Operator.DIFFERS,
    Operator.LESS,
    Operator.LESS_EQUAL,
    Operator.MORE,
    Operator.MORE_EQUAL,
    Operator.IS,
    Operator.IS_NOT,
}
_EQUALITIES = {Operator.EQUAL, Operator.DIFFERS, Operator.IS, Operator.IS_NOT}
_NEGATED = {Operator.DIFFERS, Operator.IS_NOT}
_FOLDS = {Operator.TIMES: Fold.TIMES, Operator.DIV: Fold.DIV, Operator.MOD: Fold.MOD}
_FLIPPED = {
    Operator.LESS: Operator.MORE,
    Operator.LESS_EQUAL: Operator.MORE_EQUAL,
    Operator.MORE: Operator.LESS,
    Operator.MORE_EQUAL: Operator.LESS_EQUAL,
}


def compared(node: tree.Binary, left: Value, right: Value, tick: int) -> Cond:
    """Return what a comparison of two values says; `tick` is the length of a tick in ns."""
    match left, right:
        case NumberValue(one), NumberValue(other):
            return terms.related(node.operator, one, other)
        case TimerValue(timer), TimeValue():
            return terms.timer_related(node.operator, timer, ticks(right, node.right, tick))
        case TimeValue(), TimerValue(timer):
            flipped = _FLIPPED.get(node.operator, node.operator)
            return terms.timer_related(flipped, timer, ticks(left, node.left, tick))
        case TimeValue(one_low, one_high), TimeValue(low, high) if one_low == one_high:
            if low != high:
                raise Mistake(wording.not_fixed(node.right.span, "a single time"))
            return terms.related(node.operator, Fixed(one_low), Fixed(low))
        case _ if node.operator in _EQUALITIES:
            same = _same(node, left, right)
            return terms.negate(same) if node.operator in _NEGATED else same
        case _:
            raise Mistake(wording.not_comparable(node.span, node.operator, left, right))


def _same(node: tree.Binary, left: Value, right: Value) -> Cond:
    match left, right:
        case ChoiceValue(one, options), ChoiceValue(other, others):
            if options != others:
                raise Mistake(wording.other_choice(node.span, options, others))
            each = range(len(options))
            both = ((terms.picked(one, i), terms.picked(other, i)) for i in each)
            return terms.any_of(terms.all_of(pair) for pair in both)
        case FlagValue() | PartValue(), FlagValue() | PartValue():
            one_cond, other_cond = as_condition(left, node.left), as_condition(right, node.right)
            return terms.cond_if(one_cond, other_cond, terms.negate(other_cond))
        case RoomValue(one_room), RoomValue(other_room):
            return terms.YES if one_room == other_room else terms.NO
        case _:
            raise Mistake(wording.not_comparable(node.span, node.operator, left, right))


def copies(node: tree.Binary, left: Value, right: Value) -> int:
    """Return how many terms a comparison says more than once.

    Comparisons that stand inside each other say some again and again, and their number doubles with
    each level.
    """
    match left, right:
        case _ if node.operator not in _EQUALITIES:
            return 0
        case ChoiceValue(one, options), ChoiceValue(other):
            return len(options) * (_size(one) + _size(other))
        case _, FlagValue(other_cond):
            return _size(other_cond)
        case _:
            return 0


def _size(term: Term) -> int:
    return sum(1 for _ in walk(term))


def joined(node: tree.Binary, left: Value, right: Value) -> Value:
    """Return two values joined by arithmetic."""
    match left, right:
        case NumberValue(one), NumberValue(other):
            found = _numbers(node, one, other)
            if isinstance(found, Fixed):
                _check_size(node, found.value, LARGEST)
            return NumberValue(found)
        case TimeValue(), TimeValue() if node.operator is Operator.PLUS:
            moved_by = left.moved_by | right.moved_by
            return _time(node, left.low + right.low, left.high + right.high, moved_by)
        case TimeValue(), TimeValue() if node.operator is Operator.MINUS:
            # Each range is drawn by itself: the least is the shortest less the longest.
            moved_by = left.moved_by | right.moved_by
            return _time(node, left.low - right.high, left.high - right.low, moved_by)
        case TimeValue(low, high), NumberValue() if node.operator is Operator.TIMES:
            by = _factor(right, node.right)
            return _time(node, low * by, high * by, left.moved_by)
        case NumberValue(), TimeValue(low, high) if node.operator is Operator.TIMES:
            by = _factor(left, node.left)
            return _time(node, low * by, high * by, right.moved_by)
        case TimeValue(low, high), NumberValue() if node.operator is Operator.DIV:
            by = _factor(right, node.right)
            if by < 1:
                raise Mistake(wording.bad_divisor(node.right.span))
            return _time(node, low // by, high // by, left.moved_by)
        case _:
            raise Mistake(wording.cannot_join(node.span, node.operator, left, right))


def bends(node: tree.Binary, left: Value, right: Value) -> frozenset[str]:
    """Return the settings whose times an operator does more with than add and multiply them.

    All else that is made of a time, whatever settings it is moved by, grows with each of them by a
    fixed number of ticks a tick.
    """
    moved = [one.moved_by if isinstance(one, TimeValue) else frozenset() for one in (left, right)]
    match node.operator:
        case Operator.PLUS | Operator.TIMES:
            return frozenset()
        case Operator.MINUS:
            return moved[1]
        case _:
            return moved[0] | moved[1]


def _time(node: tree.Node, low: int, high: int, moved_by: frozenset[str]) -> Value:
    if min(low, high) < 0:
        raise Mistake(wording.negative_time(node.span))
    _check_size(node, high, LONGEST_TIME)
    return TimeValue(low, high, node.span, moved_by)


def _check_size(node: tree.Node, number: int, most: int) -> None:
    if abs(number) > most:
        raise Mistake(wording.large_result(node.span))


def _factor(value: NumberValue, node: tree.Node) -> int:
    if value.fixed is None:
        raise Mistake(wording.not_fixed(node.span, "the number"))
    return value.fixed


def _numbers(node: tree.Binary, left: Num, right: Num) -> Num:
    match node.operator, left, right:
        case Operator.PLUS, _, _:
            return terms.add(left, right)
        case Operator.MINUS, _, _:
            return terms.subtract(left, right)
        case Operator.TIMES, _, Fixed(by):
            return terms.scaled(Fold.TIMES, left, by)
        case Operator.TIMES, Fixed(by), _:
            return terms.scaled(Fold.TIMES, right, by)
        case Operator.DIV | Operator.MOD, _, Fixed(by):
            if by < 1:
                raise Mistake(wording.bad_divisor(node.right.span))
            return terms.scaled(_FOLDS[node.operator], left, by)
        case _:
            raise Mistake(wording.not_fixed(node.right.span, "the second number"))
