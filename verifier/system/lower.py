"""From a design to a system: nets become expressions, kept state registers, timers clocks.

How numbers are put is told in `verifier.system.numbers`, how claims are in
`verifier.system.monitors`, and the meaning of all of it in docs/semantics.md.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import assert_never

from verifier.design import model as design
from verifier.system.domain import Bounds, domain_of, walker_bounds
from verifier.system.draft import Draft
from verifier.system.expr import Node
from verifier.system.model import Bits, Choice, Clock, Load, Question, System
from verifier.system.monitors import assumed, question
from verifier.system.numbers import Amount
from verifier.system.terms import Known, Lowering, Standing, in_order, needs

Item = design.Net | design.Timer
Wrap = Callable[[Draft, design.Net, Bits], Bits]


def lower(whole: design.Design, wrap: Wrap | None = None) -> System:
    """Return a design as Booleans and clocks, with a question for each of its claims.

    `wrap` may put something else in the place of what a net was lowered to; all that reads the net
    then reads that.
    """
    return _Lower(whole, wrap).system()


@dataclass(slots=True)
class _Lower:
    whole: design.Design
    wrap: Wrap | None
    draft: Draft = field(default_factory=Draft)
    known: Known = field(default_factory=Known)
    overflows: list[Node] = field(default_factory=list)
    bounds: Bounds = field(default_factory=Bounds)

    def system(self) -> System:
        for free in self.whole.free:
            self._free(free)
        for kept in self.whole.kept:
            self._hold(kept)
        for timer in self.whole.timers:
            self.known.clocks[timer] = self.draft.open_clock()
        self._nets()
        for kept in self.whole.kept:
            self._change(kept)
        for timer in self.whole.timers:
            self._clock(timer)
        self._walkers()
        allowed = self.draft.pool.and_(self._one_press(), *self._assumptions())
        questions = tuple(self._question(claim) for claim in self.whole.claims)
        clocks = self.draft.clocks()
        return System(
            design=self.whole,
            pool=self.draft.pool,
            choices=tuple(self.draft.choices),
            registers=self.draft.registers(),
            clocks=clocks,
            allowed=allowed,
            domain=domain_of(self.draft.pool, clocks, self.bounds),
            questions=questions,
            shown=self._shown(),
        )

    def _at(self, owner: str) -> Lowering:
        return Lowering(self.draft, self.known, owner)

    # --- sources of values: free choices and kept state -------------------------------------------

    def _free(self, free: design.Free) -> None:
        index, shape = len(self.draft.choices), free.net.shape
        match shape:
            case design.Flag():
                options: tuple[str, ...] = ("dead", "live")
                bits = Bits((self._picked(index, 1, free.count),))
            case design.Number(low=low):
                options = tuple(str(low + step) for step in range(free.count))
                picks = [self._picked(index, step, free.count) for step in range(free.count)]
                above = tuple(self.draft.pool.or_(*picks[step:]) for step in range(1, free.count))
                bits = Bits(above, low)
                self.draft.arithmetic.known(above)
            case design.Choice(options=options):
                bits = Bits(
                    tuple(self._picked(index, step, free.count) for step in range(free.count))
                )
            case _:
                assert_never(shape)
        self.draft.choices.append(Choice(free.net.path, options, free.is_press))
        self.known.bits[free.net] = bits

    def _picked(self, index: int, option: int, count: int) -> Node:
        """Return: the choice stands at the option; of two options the first is the other's lack."""
        pool = self.draft.pool
        if count == 1:
            return pool.yes
        if count == 2 and option == 0:  # noqa: PLR2004 - a choice of two
            return pool.not_(pool.pick(index, 1))
        return pool.pick(index, option)

    def _hold(self, kept: design.Kept) -> None:
        path, shape, start = kept.net.path, kept.net.shape, kept.start
        match shape:
            case design.Flag():
                bits = Bits((self.draft.register(path, start=bool(start), kept=True),))
            case design.Number(low=low, high=high):
                registers = [
                    self.draft.register(f"{path} > {value}", start=start > value, kept=True)
                    for value in range(low, high)
                ]
                bits = Bits(tuple(registers), low)
                self.bounds.thermometers.append(bits.nodes)
                self.draft.arithmetic.known(bits.nodes)
            case design.Choice(options=options):
                others = [
                    self.draft.register(f"{path} is {option}", start=start == place, kept=True)
                    for place, option in enumerate(options)
                    if place
                ]
                none = self.draft.pool.not_(self.draft.pool.or_(*others))
                bits = Bits((none, *others))
                self.bounds.choices.append(tuple(others))
            case _:
                assert_never(shape)
        self.known.bits[kept.net] = bits

    # --- nets -------------------------------------------------------------------------------------

    def _nets(self) -> None:
        roots: list[Item] = [*self.whole.nets, *self.whole.timers]
        for item in in_order(roots, self._behind):
            if isinstance(item, design.Timer):
                self.known.runs[item] = self._at(item.path).condition(item.runs)
            elif item not in self.known.bits:
                self.known.bits[item] = self._bits(item)

    def _behind(self, item: Item) -> Sequence[Item]:
        if isinstance(item, design.Timer):
            return needs(item.runs)
        return [] if item in self.known.bits else needs(_term(item))

    def _bits(self, net: design.Net) -> Bits:
        at, term = self._at(net.path), _term(net)
        match net.shape:
            case design.Flag():
                bits = Bits((at.condition(term),))
            case design.Number(low=low, high=high):
                amount = at.amount(term)
                bits = Bits(self.draft.arithmetic.within(amount, low, high).bits, low)
            case design.Choice(options=options):
                standing = at.standing(term)
                bits = Bits(self._options(standing, len(options)))
            case _:
                assert_never(net.shape)
        return bits if self.wrap is None else self.wrap(self.draft, net, bits)

    def _options(self, standing: Standing, count: int) -> tuple[Node, ...]:
        return tuple(standing.get(option, self.draft.pool.no) for option in range(count))

    # --- the next tick ----------------------------------------------------------------------------

    def _change(self, kept: design.Kept) -> None:
        match kept.net.shape:
            case design.Flag():
                self._change_flag(kept)
            case design.Number():
                self._change_number(kept, kept.net.shape)
            case design.Choice(options=options):
                self._change_choice(kept, len(options))
            case _:
                assert_never(kept.net.shape)

    def _change_flag(self, kept: design.Kept) -> None:
        at, (register,) = self._at(kept.net.path), self.known.bits[kept.net].nodes
        value = register
        for case in reversed(kept.cases):
            then = at.condition(case.value)
            value = self.draft.pool.if_(at.condition(case.condition), then, value)
        self.draft.becomes(register, value)

    def _change_number(self, kept: design.Kept, shape: design.Number) -> None:
        at, pool, work = self._at(kept.net.path), self.draft.pool, self.draft.arithmetic
        registers = self.known.bits[kept.net].nodes
        value = Amount(shape.low, registers)
        for case in reversed(kept.cases):
            then = at.amount(case.value)
            value = work.choose(at.condition(case.condition), then, value)
        for register, bit in zip(
            registers, work.within(value, shape.low, shape.high).bits, strict=True
        ):
            self.draft.becomes(register, bit)
        below = pool.not_(work.at_least(value, shape.low))
        self.overflows.append(pool.or_(below, work.at_least(value, shape.high + 1)))

    def _change_choice(self, kept: design.Kept, count: int) -> None:
        at, nodes = self._at(kept.net.path), self.known.bits[kept.net].nodes
        value: Standing = dict(enumerate(nodes))
        for case in reversed(kept.cases):
            then = at.standing(case.value)
            value = at.choose(at.condition(case.condition), then, value)
        for register, bit in zip(nodes[1:], self._options(value, count)[1:], strict=True):
            self.draft.becomes(register, bit)

    def _clock(self, timer: design.Timer) -> None:
        at = self._at(timer.path)
        loads = tuple(
            Load(at.condition(load.condition), load.low, load.high, load.turned)
            for load in timer.loads
        )
        clock = Clock(timer.path, timer.start, loads, self.known.runs[timer], kept=True)
        self.draft.set_clock(self.known.clocks[timer], clock)

    def _walkers(self) -> None:
        places = {kept.net: kept for kept in self.whole.kept}
        for walker in self.whole.walkers:
            at, kept = self._at(walker.name), places[walker.place]
            self.bounds.walkers.append(walker_bounds(at, self.known, walker, kept))

    # --- what is allowed, what is asked -----------------------------------------------------------

    def _one_press(self) -> Node:
        pool = self.draft.pool
        if not self.whole.one_press:
            return pool.yes
        presses = [
            self._press(index) for index, one in enumerate(self.draft.choices) if one.is_press
        ]
        return pool.not_(self._two_of(presses)[1])

    def _press(self, index: int) -> Node:
        """Return: the choice changes to something other than its rest; before tick 0 it rests."""
        pool, choice = self.draft.pool, self.draft.choices[index]
        changes = []
        for option, label in enumerate(choice.options):
            now = self._picked(index, option, len(choice.options))
            if option:
                name = choice.name if len(choice.options) == 2 else f"{choice.name} is {label}"  # noqa: PLR2004 - a choice of two
                before = self.draft.previous(now, f"{name}, a tick ago")
                changes.append(pool.and_(now, pool.not_(before)))
        return pool.or_(*changes)

    def _two_of(self, parts: Sequence[Node]) -> tuple[Node, Node]:
        """Return: one of the parts holds, and two of them do."""
        pool = self.draft.pool
        if len(parts) <= 1:
            return pool.or_(*parts), pool.no
        one, two = self._two_of(parts[: len(parts) // 2])
        other, more = self._two_of(parts[len(parts) // 2 :])
        return pool.or_(one, other), pool.or_(two, more, pool.and_(one, other))

    def _assumptions(self) -> list[Node]:
        kept = []
        for number, assumption in enumerate(self.whole.assumptions, start=1):
            broken = assumed(self._at(f"assumption {number}"), assumption.sentence)
            kept.append(self.draft.pool.not_(broken))
        return kept

    def _question(self, claim: design.Claim) -> Question:
        asked = question(self._at(f"claim {claim.name}"), claim)
        if claim.built_in is design.BuiltIn.COUNTS:
            return replace(asked, bad=self.draft.pool.or_(*self.overflows))
        return asked

    def _shown(self) -> dict[str, Bits]:
        shown = {net.path: self.known.bits[net] for net in self.whole.nets}
        for timer in self.whole.timers:
            shown[timer.path] = Bits((), timer=self.known.clocks[timer])
        return shown


def _term(net: design.Net) -> design.Term:
    if net.term is None:
        raise AssertionError(f"{net} has neither a term nor a source of its value")
    return net.term
