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
            return f"{words(left, clock)} + {words(right, clock)}"
        case Subtract(left, right):
            return f"{words(left, clock)} - {words(right, clock)}"
        case Scaled(fold, inner, by):
            return f"{words(inner, clock)} {fold.value} {by}"
        case CondIf(condition, then, other):
            return _choose(condition, then, other, clock)
        case NumIf(condition, number, otherwise):
            return _choose(condition, number, otherwise, clock)
        case PickIf(condition, pick, another):
            return _choose(condition, pick, another, clock)
        case _:
            assert_never(term)


_Joined = Not | Edge | And | Or | HowMany | Compare | Picked


def _condition(term: _Joined, clock: Clock) -> str:
    match term:
        case Not(inner):
            return f"not {words(inner, clock)}"
        case Edge(inner, rising):
            return f"{words(inner, clock)} {'starts' if rising else 'ends'}"
        case And(parts):
            return f"({' and '.join(words(one, clock) for one in parts)})"
        case Or(parts):
            return f"({' or '.join(words(one, clock) for one in parts)})"
        case HowMany(parts):
            return f"how many of {', '.join(words(one, clock) for one in parts)}"
        case Compare(relation, left, right):
            return f"{words(left, clock)} {relation.value} {words(right, clock)}"
        case Picked(ReadPick(net), option) if isinstance(net.shape, Choice):
            return f"{net.path} is {net.shape.options[option]}"
        case Picked(pick, option):
            return f"{words(pick, clock)} is option {option + 1}"
        case _:
            assert_never(term)


def _choose(condition: Term, then: Term, other: Term, clock: Clock) -> str:
    return f"{words(then, clock)} when {words(condition, clock)} else {words(other, clock)}"
