"""How much work the amounts and counts of a design are, before any of it is begun.

Numbers become a bit for each value above their least (`verifier.system.numbers`), so that a slip
of the finger in a supply could take all memory there is. What each operation costs follows from the
ranges of what goes into it: a sum pairs the bits of both sides.
"""

from collections.abc import Iterator
from typing import assert_never

from verifier.design import wording
from verifier.design.loops import walk
from verifier.design.model import (
    Add,
    Compare,
    Design,
    Fixed,
    Fold,
    HowMany,
    Num,
    Number,
    NumIf,
    Read,
    Scaled,
    Subtract,
    Term,
)
from verifier.design.ranges import scaled
from verifier.design.sentence import conditions
from verifier.source.diagnostic import Diagnostic
from verifier.source.text import Span

MOST_PAIRS = 2_000_000
"""No design whose numbers take more work than this, in pairs of bits (`too-many`)."""


def too_wide(design: Design) -> Diagnostic | None:
    """Return what is to be told of a design whose numbers are too much work; None if all is well.

    The place is that of the first number with which it is too much.
    """
    steps = 0
    for span, name, root in _terms(design):
        for term in walk(root):
            steps += _steps(term)
            if steps > MOST_PAIRS:
                return wording.too_wide(span, name)
    return None


def _terms(design: Design) -> Iterator[tuple[Span, str, Term]]:
    for net in design.nets:
        if net.term is not None:
            yield net.span, net.path, net.term
    for kept in design.kept:
        for case in kept.cases:
            yield kept.net.span, kept.net.path, case.value
            yield kept.net.span, kept.net.path, case.condition
    for timer in design.timers:
        yield timer.span, timer.path, timer.runs
        for load in timer.loads:
            yield timer.span, timer.path, load.condition
    said = [(one.span, one.name, one.sentence) for one in design.claims]
    said += [(one.span, "assume", one.sentence) for one in design.assumptions]
    for span, name, sentence in said:
        yield from ((span, name, condition) for condition in conditions(sentence))


def _steps(term: Term) -> int:
    match term:
        case Add(left, right) | Subtract(left, right):
            one, other = _width(left), _width(right)
            return (one + 1) * (other + 1) if one and other else one + other
        case Scaled(Fold.TIMES):
            return _width(term)
        case Scaled(_, inner, by):
            return _width(inner) + (by if _width(inner) else 0)
        case NumIf():
            return _width(term)
        case Compare(_, left, right):
            return _width(left) + _width(right)
        case HowMany(parts):
            return len(parts) ** 2 // 2
        case _:
            return 0


def _width(term: Num) -> int:
    low, high = _range(term)
    return high - low


def _range(term: Num) -> tuple[int, int]:
    """Return the least and the most that the bits of a number can say, whatever can come about."""
    match term:
        case Fixed(value):
            return value, value
        case Read(net):
            return (net.shape.low, net.shape.high) if isinstance(net.shape, Number) else (0, 0)
        case Add(left, right):
            (low, high), (least, most) = _range(left), _range(right)
            return low + least, high + most
        case Subtract(left, right):
            (low, high), (least, most) = _range(left), _range(right)
            return low - most, high - least
        case Scaled(fold, inner, by):
            return scaled(fold, _range(inner), by)
        case NumIf(_, then, other):
            (low, high), (least, most) = _range(then), _range(other)
            return min(low, least), max(high, most)
        case HowMany(parts):
            return 0, len(parts)
        case _:
            assert_never(term)
