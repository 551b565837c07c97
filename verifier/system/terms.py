"""Terms of a design put into expressions of a pool.

A term is walked with a stack of its own, so that neither a sum of a thousand parts nor a chain of a
thousand nets meets a limit of recursion.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import assert_never

from verifier.design import model as design
from verifier.system.draft import Draft
from verifier.system.expr import Node
from verifier.system.model import Bits
from verifier.system.numbers import Amount, fixed

# How a choice stands: the options that it may have, each with the condition for it.
Standing = Mapping[int, Node]


def inner_terms(term: design.Term) -> Sequence[design.Term]:
    """Return the terms that stand directly in a term."""
    match term:
        case design.Not(inner) | design.Edge(inner) | design.Scaled(inner=inner):
            return (inner,)
        case design.And(parts) | design.Or(parts) | design.HowMany(parts):
            return parts
        case (
            design.CondIf(condition, then, other)
            | design.NumIf(condition, then, other)
            | design.PickIf(condition, then, other)
        ):
            return (condition, then, other)
        case (
            design.Compare(left=left, right=right)
            | design.Add(left, right)
            | design.Subtract(left, right)
        ):
            return (left, right)
        case design.Picked(pick):
            return (pick,)
        case (
            design.Truth()
            | design.Live()
            | design.Above()
            | design.Running()
            | design.Fixed()
            | design.Read()
            | design.Option()
            | design.ReadPick()
        ):
            return ()
        case _:
            assert_never(term)


def needs(root: design.Term) -> list[design.Net | design.Timer]:
    """Return the nets that a term reads, and the timers whose run condition it reads."""
    found: list[design.Net | design.Timer] = []
    stack = [root]
    while stack:
        term = stack.pop()
        match term:
            case design.Live(net) | design.Read(net) | design.ReadPick(net):
                found.append(net)
            case design.Running(timer):
                found.append(timer)
            case _:
                stack.extend(inner_terms(term))
    return found


@dataclass(slots=True)
class Known:
    """What is known already where a term is lowered: nets, run conditions, places of clocks."""

    bits: dict[design.Net, Bits] = field(default_factory=dict)
    runs: dict[design.Timer, Node] = field(default_factory=dict)
    clocks: dict[design.Timer, int] = field(default_factory=dict)


@dataclass(slots=True)
class Lowered:
    """What the terms inside one term were made into, by identity of the term."""

    conditions: dict[int, Node] = field(default_factory=dict)
    amounts: dict[int, Amount] = field(default_factory=dict)
    standings: dict[int, Standing] = field(default_factory=dict)

    def has(self, term: design.Term) -> bool:
        """Say whether a term was met already."""
        key = id(term)
        return key in self.conditions or key in self.amounts or key in self.standings


@dataclass(frozen=True, slots=True)
class Lowering:
    """Lowers terms whose nets are known; `owner` names what the term belongs to."""

    draft: Draft
    known: Known
    owner: str

    def condition(self, root: design.Term) -> Node:
        """Return a condition as an expression."""
        return self._lower(root).conditions[id(root)]

    def amount(self, root: design.Term) -> Amount:
        """Return a number as a thermometer."""
        return self._lower(root).amounts[id(root)]

    def standing(self, root: design.Term) -> Standing:
        """Return a choice as the conditions of its options."""
        return self._lower(root).standings[id(root)]

    def _lower(self, root: design.Term) -> Lowered:
        done = Lowered()
        stack = [root]
        while stack:
            term = stack[-1]
            missing = [inner for inner in inner_terms(term) if not done.has(inner)]
            if missing:
                stack.extend(missing)
                continue
            stack.pop()
            if not done.has(term):
                self._one(term, done)
        return done

    def _one(self, term: design.Term, done: Lowered) -> None:
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
                done.amounts[id(term)] = self._amount(term, done)
            case design.Option() | design.ReadPick() | design.PickIf():
                done.standings[id(term)] = self._standing(term, done)
            case _:
                done.conditions[id(term)] = self._condition(term, done)

    def _condition(self, term: design.Cond, done: Lowered) -> Node:
        pool, made = self.draft.pool, done.conditions
        match term:
            case design.Truth(value):
                return pool.const(value)
            case design.Live(net):
                return self.known.bits[net].nodes[0]
            case design.Not(inner):
                return pool.not_(made[id(inner)])
            case design.And(parts):
                return pool.and_(*(made[id(part)] for part in parts))
            case design.Or(parts):
                return pool.or_(*(made[id(part)] for part in parts))
            case design.CondIf(condition, then, other):
                return pool.if_(made[id(condition)], made[id(then)], made[id(other)])
            case design.Edge(inner, rising):
                return self._edge(inner, made[id(inner)], rising=rising)
            case design.Compare() | design.Picked() | design.Above() | design.Running():
                return self._asked(term, done)
            case _:
                assert_never(term)

    def _asked(
        self,
        term: design.Compare | design.Picked | design.Above | design.Running,
        done: Lowered,
    ) -> Node:
        """Return a question to a number, a choice or a timer."""
        pool = self.draft.pool
        match term:
            case design.Compare(relation, left, right):
                sides = done.amounts[id(left)], done.amounts[id(right)]
                return self.draft.arithmetic.compare(relation, *sides)
            case design.Picked(pick, option):
                return done.standings[id(pick)].get(option, pool.no)
            case design.Above(timer, ticks):
                if ticks >= timer.longest:
                    return pool.no  # never so much: the clock need not be kept for this
                return pool.above(self.known.clocks[timer], ticks)
            case design.Running(timer):
                return self.known.runs[timer]
            case _:
                assert_never(term)

    def _edge(self, inner: design.Cond, now: Node, *, rising: bool) -> Node:
        name = inner.net.path if isinstance(inner, design.Live) else f"condition in {self.owner}"
        before = self.draft.previous(now, f"{name}, a tick ago")
        pool = self.draft.pool
        if rising:
            return pool.and_(now, pool.not_(before))
        return pool.and_(pool.not_(now), before)

    def _amount(self, term: design.Num, done: Lowered) -> Amount:
        work, made = self.draft.arithmetic, done.amounts
        match term:
            case design.Fixed(value):
                return fixed(value)
            case design.Read(net):
                bits = self.known.bits[net]
                return work.trimmed(bits.low, bits.nodes)
            case design.Add(left, right):
                return work.add(made[id(left)], made[id(right)])
            case design.Subtract(left, right):
                return work.add(made[id(left)], work.negative(made[id(right)]))
            case design.Scaled(kind, inner, by):
                return work.scale(kind, made[id(inner)], by)
            case design.NumIf(condition, then, other):
                asked = done.conditions[id(condition)]
                return work.choose(asked, made[id(then)], made[id(other)])
            case design.HowMany(parts):
                return work.how_many([done.conditions[id(part)] for part in parts])
            case _:
                assert_never(term)

    def _standing(self, term: design.Pick, done: Lowered) -> Standing:
        match term:
            case design.Option(option):
                return {option: self.draft.pool.yes}
            case design.ReadPick(net):
                return dict(enumerate(self.known.bits[net].nodes))
            case design.PickIf(condition, then, other):
                asked = done.conditions[id(condition)]
                sides = done.standings[id(then)], done.standings[id(other)]
                return self.choose(asked, *sides)
            case _:
                assert_never(term)

    def choose(self, condition: Node, then: Standing, other: Standing) -> Standing:
        """Return how a choice stands that is `then` where the condition holds, else `other`."""
        pool = self.draft.pool
        return {
            option: pool.if_(condition, then.get(option, pool.no), other.get(option, pool.no))
            for option in sorted({*then, *other})
        }


def in_order(
    roots: Sequence[design.Net | design.Timer],
    behind: Callable[[design.Net | design.Timer], Sequence[design.Net | design.Timer]],
) -> list[design.Net | design.Timer]:
    """Return the roots and all behind them, each after what it needs.

    A loop is an error of an earlier stage, which has to refuse it with its ports named.
    """
    order: list[design.Net | design.Timer] = []
    done: set[design.Net | design.Timer] = set()
    open_: set[design.Net | design.Timer] = set()
    for root in roots:
        stack = [root]
        while stack:
            item = stack[-1]
            if item in done:
                stack.pop()
                continue
            missing = [need for need in behind(item) if need not in done]
            if not missing:
                stack.pop()
                open_.discard(item)
                done.add(item)
                order.append(item)
                continue
            open_.add(item)
            for need in missing:
                if need in open_:
                    raise AssertionError(f"a loop through no kept state: {item}, {need}")
            stack.extend(missing)
    return order
