"""Designs run directly from what verifier/design/model.py says of them, number by number.

Nothing here is lowered: values are Python's, a term is worked out by recursion at each tick. It is
the second opinion on lowering, so it shares no code with it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from verifier.design.model import (
    Above,
    Add,
    And,
    Choice,
    Compare,
    CondIf,
    Design,
    Edge,
    Fixed,
    Flag,
    Fold,
    HowMany,
    Kept,
    Live,
    Net,
    Not,
    Number,
    NumIf,
    Option,
    Or,
    Picked,
    PickIf,
    Read,
    ReadPick,
    Relation,
    Running,
    Scaled,
    Subtract,
    Term,
    Timer,
    Truth,
)


@dataclass
class Now:
    """One tick: kept values, timers and choices as they stand, and edges a tick ago by identity."""

    kept: Mapping[Net, int]
    timers: Mapping[Timer, int]
    choices: Mapping[Net, int]
    before: Mapping[int, int] | None
    known: dict[Net, int] = field(default_factory=dict)

    def value(self, net: Net) -> int:
        """The value of a net: 0 or 1, a number, the position of an option."""
        if net in self.kept:
            return self.kept[net]
        if net in self.choices:
            return self.choices[net]
        if net not in self.known:
            assert net.term is not None
            value = self.of(net.term)
            if isinstance(net.shape, Number):
                # No value lies outside in a resolved design; here it may, and stays at the end.
                value = min(max(value, net.shape.low), net.shape.high)
            self.known[net] = value
        return self.known[net]

    def of(self, term: Term) -> int:
        """The value of a term."""
        match term:
            case Truth(value) | Fixed(value) | Option(value):
                return int(value)
            case Live(net) | Read(net) | ReadPick(net):
                return self.value(net)
            case CondIf(condition, then, other) | NumIf(condition, then, other):
                return self.of(then if self.of(condition) else other)
            case PickIf(condition, one, two):
                return self.of(one if self.of(condition) else two)
            case Not() | And() | Or() | HowMany() | Edge():
                return self._joined(term)
            case Compare() | Add() | Subtract() | Scaled():
                return self._worked_out(term)
            case Picked(pick, option):
                return int(self.of(pick) == option)
            case Above(timer, ticks):
                return int(self.timers[timer] > ticks)
            case Running(timer):
                return self.of(timer.runs)

    def _joined(self, term: Not | And | Or | HowMany | Edge) -> int:
        match term:
            case Not(inner):
                return 1 - self.of(inner)
            case And(parts):
                return int(all(self.of(part) for part in parts))
            case Or(parts):
                return int(any(self.of(part) for part in parts))
            case HowMany(parts):
                return sum(self.of(part) for part in parts)
            case Edge(inner, rising):
                now = self.of(inner)
                before = 0 if self.before is None else self.before[id(term)]
                return int(now > before if rising else now < before)

    def _worked_out(self, term: Compare | Add | Subtract | Scaled) -> int:
        match term:
            case Scaled(fold, inner, by):
                value = self.of(inner)
                return {
                    Fold.TIMES: lambda: value * by,
                    Fold.DIV: lambda: value // by,
                    Fold.MOD: lambda: value % by,
                }[fold]()
            case Add(left, right):
                return self.of(left) + self.of(right)
            case Subtract(left, right):
                return self.of(left) - self.of(right)
            case Compare(relation, left, right):
                one, two = self.of(left), self.of(right)
                return int(
                    {
                        Relation.EQUAL: one == two,
                        Relation.LESS: one < two,
                        Relation.LESS_EQUAL: one <= two,
                    }[relation]
                )


@dataclass
class Interpreter:
    """A design and where it stands."""

    design: Design
    edges: Sequence[Edge]
    kept: dict[Net, int] = field(init=False)
    timers: dict[Timer, int] = field(init=False)
    before: dict[int, int] | None = None
    overflow: bool = False

    def __post_init__(self) -> None:
        """Begin at tick 0."""
        self.kept = {kept.net: kept.start for kept in self.design.kept}
        self.timers = {timer: timer.start for timer in self.design.timers}

    def tick(self, choices: Sequence[int], draws: Mapping[Timer, int]) -> dict[str, int]:
        """Go on by a tick; return what everything named shows at it."""
        chosen = {}
        for free, position in zip(self.design.free, choices, strict=True):
            shape = free.net.shape
            chosen[free.net] = position + (shape.low if isinstance(shape, Number) else 0)
        now = Now(dict(self.kept), dict(self.timers), chosen, self.before)
        shown = {net.path: now.value(net) for net in self.design.nets}
        shown |= {timer.path: self.timers[timer] for timer in self.design.timers}
        self.overflow = False
        self.kept = {kept.net: self._next(kept, now) for kept in self.design.kept}
        self.timers = {timer: self._shows(timer, now, draws) for timer in self.design.timers}
        self.before = {id(edge): now.of(edge.inner) for edge in self.edges}
        return shown

    def _next(self, kept: Kept, now: Now) -> int:
        value = now.kept[kept.net]
        for case in kept.cases:
            if now.of(case.condition):
                value = now.of(case.value)
                break
        match kept.net.shape:
            case Number(low=low, high=high):
                self.overflow = self.overflow or not low <= value <= high
                return min(max(value, low), high)
            case Flag() | Choice():
                return value

    @staticmethod
    def _shows(timer: Timer, now: Now, draws: Mapping[Timer, int]) -> int:
        left = now.timers[timer]
        for load in timer.loads:
            if now.of(load.condition):
                if load.turned:
                    return max(load.low - left, 0)
                return load.low if load.low == load.high else draws[timer]
        return max(left - 1, 0) if now.of(timer.runs) else left
