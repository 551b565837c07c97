"""Conditions and amounts in few words, as they stand inside the box of a drawing."""

from typing import assert_never

from verifier.design.model import (
    Above,
    Add,
    And,
    Choice,
    Compare,
    CondIf,
    Edge,
    Fixed,
    HowMany,
    Live,
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
from verifier.report.clock import Clock


def words(term: Term, clock: Clock) -> str:  # noqa: C901 - one case a term, none of them nested
    """Return a term in words; what a choice stands at is told by name where that is known."""
    match term:
        case Truth(value):
            return "yes" if value else "no"
        case Fixed(number):
            return str(number)
        case Option(option):
            return f"option {option + 1}"
        case Live(net) | Read(net) | ReadPick(net):
            return net.path
        case Running(timer):
            return f"{timer.path} runs"
        case Above(timer, ticks):
            return f"{timer.path} > {clock.span(ticks)}"
        case Not() | Edge() | And() | Or() | HowMany() | Compare() | Picked():
            return _condition(term, clock)
        case Add(left, right):
            return f"{_within(left, clock, _CHOSEN)} + {_within(right, clock, _CHOSEN)}"
        case Subtract(left, right):
            return f"{_within(left, clock, _CHOSEN)} - {_within(right, clock, _LOOSE)}"
        case Scaled(fold, inner, by):
            return f"{_within(inner, clock, _LOOSE)} {fold.value} {by}"
        case CondIf(condition, then, other):
            return _choose(condition, then, other, clock)
        case NumIf(condition, number, otherwise):
            return _choose(condition, number, otherwise, clock)
        case PickIf(condition, pick, another):
            return _choose(condition, pick, another, clock)
        case _:
            assert_never(term)


_CHOSEN = (CondIf, NumIf, PickIf)
_LOOSE = (*_CHOSEN, Add, Subtract)


def _within(term: Term, clock: Clock, loose: tuple[type[Term], ...]) -> str:
    """Return a part of something else in words: in brackets where it is of a looser kind."""
    text = words(term, clock)
    return f"({text})" if isinstance(term, loose) else text


_Joined = Not | Edge | And | Or | HowMany | Compare | Picked


def _condition(term: _Joined, clock: Clock) -> str:
    match term:
        case Not(inner):
            return f"not {_within(inner, clock, _CHOSEN)}"
        case Edge(inner, rising):
            return f"{words(inner, clock)} {'starts' if rising else 'ends'}"
        case And(parts):
            return f"({' and '.join(_within(one, clock, _CHOSEN) for one in parts)})"
        case Or(parts):
            return f"({' or '.join(_within(one, clock, _CHOSEN) for one in parts)})"
        case HowMany(parts):
            return f"how many of {', '.join(words(one, clock) for one in parts)}"
        case Compare(relation, left, right):
            one, other = _within(left, clock, _CHOSEN), _within(right, clock, _CHOSEN)
            return f"{one} {relation.value} {other}"
        case Picked(ReadPick(net), option) if isinstance(net.shape, Choice):
            return f"{net.path} is {net.shape.options[option]}"
        case Picked(pick, option):
            return f"{_within(pick, clock, _CHOSEN)} is option {option + 1}"
        case _:
            assert_never(term)


def _choose(condition: Term, then: Term, other: Term, clock: Clock) -> str:
    one, another = _within(then, clock, _CHOSEN), _within(other, clock, _CHOSEN)
    return f"{one} when {words(condition, clock)} else {another}"
