"""What would have been: a run played again with a value changed for a while.

The design is lowered once more with a lever on each of its nets, kept values and timers: a choice
that nobody has, at rest in every real run. A lever holds its item at another value, keeps a timer
from being loaded, or makes it stand still; all else, the claim included, follows as it would.

That a cause is what, changed alone, changes the outcome is the counterfactual reading of D. Lewis,
"Causation", Journal of Philosophy 70 (1973); asked of single runs of a system it is worked out in
J. Y. Halpern, J. Pearl, "Causes and explanations", British Journal for the Philosophy of Science
56 (2005).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from verifier.causes.facts import Fact, Kind
from verifier.design.model import Choice, Design, Flag, Kept, Net, Number, Shape
from verifier.simulate.machine import Machine, Position, machine
from verifier.system import model
from verifier.system.cone import cone
from verifier.system.draft import Draft
from verifier.system.expr import Node, Pool
from verifier.system.lower import lower
from verifier.system.model import Bits, Clock, Register, System
from verifier.verdict.trace import State, Trace

NOT_LOADED, STANDS = 1, 2  # the options of a lever on a timer, after that of doing nothing


@dataclass(frozen=True, slots=True)
class Pulled:
    """The lever on `path` stands at `option` from tick `start` up to, not with, `stop`."""

    path: str
    option: int
    start: int
    stop: int


@dataclass(frozen=True, slots=True)
class Levered:
    """A system with levers behind its own choices: `levers` has the index of each, by path."""

    system: System
    levers: Mapping[str, int]


def levered(design: Design) -> Levered:
    """Return the system of a design with a lever on everything that has a value of its own."""
    levers: dict[str, int] = {}

    def wrap(draft: Draft, net: Net, bits: Bits) -> Bits:
        index = len(draft.choices)
        forced = forced_values(net.shape)
        draft.choices.append(_lever(net.path, len(forced)))
        levers[net.path] = index
        nodes = [
            _led(draft.pool, index, node, [_bit(net.shape, place, value) for value in forced])
            for place, node in enumerate(bits.nodes)
        ]
        if isinstance(net.shape, Number):
            draft.arithmetic.known(nodes)
        return Bits(tuple(nodes), bits.low)

    made = lower(design, wrap)
    choices, registers = list(made.choices), list(made.registers)
    for kept in design.kept:
        levers[kept.net.path] = len(choices)
        choices.append(_lever(kept.net.path, len(forced_values(kept.net.shape))))
        _lead_kept(made, kept, levers[kept.net.path], registers)
    clocks = list(made.clocks)
    for timer in design.timers:
        place, levers[timer.path] = made.shown[timer.path].timer, len(choices)
        choices.append(_lever(timer.path, 2))
        assert place is not None  # noqa: S101 - a timer is shown by its clock
        clocks[place] = _lead_clock(made.pool, clocks[place], levers[timer.path])
    system = replace(made, choices=tuple(choices), registers=tuple(registers), clocks=tuple(clocks))
    return Levered(system, levers)


def _lever(path: str, options: int) -> model.Choice:
    names = ("as it is", *(f"forced {number}" for number in range(1, options + 1)))
    return model.Choice(f"lever on {path}", names, is_press=False)


def forced_values(shape: Shape) -> tuple[int, ...]:
    """Return the values to which a lever holds a net of a shape, in the order of its options."""
    match shape:
        case Flag():
            return 0, 1
        case Number(low, high):
            return low, high
        case Choice(options):
            return tuple(range(len(options)))


def _bit(shape: Shape, place: int, value: int) -> bool:
    """Return whether a bit of a net is live while the net has a value."""
    match shape:
        case Flag():
            return value == 1
        case Number(low):
            return value > low + place
        case Choice():
            return value == place


def _led(pool: Pool, lever: int, node: Node, forced: Sequence[bool]) -> Node:
    """Return the node with the lever at rest, else what it is forced to."""
    live = [pool.pick(lever, option) for option, on in enumerate(forced, start=1) if on]
    return pool.if_(pool.pick(lever, 0), node, pool.or_(*live))


def _lead_kept(made: System, kept: Kept, lever: int, registers: list[Register]) -> None:
    shape = kept.net.shape
    for place, node in enumerate(made.shown[kept.net.path].nodes):
        if isinstance(shape, Choice) and place == 0:
            continue  # the first option is the lack of the others
        forced = [_bit(shape, place, value) for value in forced_values(shape)]
        register = registers[node.data[0]]
        led = _led(made.pool, lever, register.next, forced)
        registers[node.data[0]] = replace(register, next=led)


def _lead_clock(pool: Pool, clock: Clock, lever: int) -> Clock:
    may = pool.not_(pool.pick(lever, NOT_LOADED))
    loads = tuple(replace(load, when=pool.and_(load.when, may)) for load in clock.loads)
    runs = pool.and_(clock.runs, pool.not_(pool.pick(lever, STANDS)))
    return replace(clock, loads=loads, runs=runs)


@dataclass(frozen=True, slots=True)
class Bench:
    """One run that can be played with levers pulled, watched for one target."""

    levered: Levered
    machine: Machine
    trace: Trace
    nets: Mapping[str, Net]

    def first(self, pulled: Iterable[Pulled]) -> int | None:
        """Return the first tick of the run at which the target is met, None if it is not."""
        marks = self._marks(list(pulled))
        at, tick = self.start(), 0
        for (start, choices, draws), (end, _, _) in pairwise(marks):
            while tick < end:
                look = self.machine.look(*at, choices)
                if look.seen[0]:
                    return tick
                fitted = self.machine.fitted(look, draws)
                most = self.machine.longest_jump(at, look, fitted)
                ticks = end - tick if most is None else min(most, end - tick)
                at = self.machine.after(at, look, fitted, ticks)
                tick += ticks
            del start
        return None

    def start(self) -> Position:
        """Return where the run begins."""
        start, whole = self.machine.start(), self.machine.cone
        if self.trace.start is None:
            return start
        # Kept values stand first, and in the same order as without levers.
        state: State = self.trace.start
        registers = [
            state.registers[index] if whole.system.registers[index].kept else own
            for index, own in zip(whole.registers, start[0], strict=True)
        ]
        clocks = [
            state.clocks[index] if whole.system.clocks[index].kept else own
            for index, own in zip(whole.clocks, start[1], strict=True)
        ]
        return tuple(registers), tuple(clocks)

    def _marks(
        self, pulled: Sequence[Pulled]
    ) -> list[tuple[int, tuple[int, ...], tuple[int, ...]]]:
        """Return what is chosen and wished from each tick at which that changes."""
        part = self.machine.cone
        steps = list(self.trace.steps)
        begins = [0]
        for step in steps:
            begins.append(begins[-1] + step.ticks)
        length = begins[-1]
        ends = [end for one in pulled for end in (one.start, one.stop) if 0 < end < length]
        found = []
        number = 0
        for tick in sorted({*begins, *ends}):
            while number < len(steps) - 1 and begins[number + 1] <= tick:
                number += 1
            choices = list(steps[number].choices) + [0] * len(self.levered.levers)
            for one in pulled:
                if one.start <= tick < one.stop:
                    choices[self.choice(one.path)] = one.option
            draws = steps[number].draws
            found.append(
                (
                    tick,
                    tuple(choices[index] for index in part.choices),
                    tuple(draws[index] if index < len(draws) else 0 for index in part.clocks),
                )
            )
        return found

    def choice(self, path: str) -> int:
        """Return the index of the lever on an item; of the choice itself where people have it."""
        lever = self.levered.levers.get(path)
        names = [choice.name for choice in self.levered.system.choices]
        return names.index(path) if lever is None else lever

    def otherwise(self, fact: Fact, before: int | None) -> Pulled | None:
        """Return what would make a fact untrue for as long as it lasts; None: nothing can.

        `before` is the value that the item had before, if it had another one.
        """
        match fact.kind:
            case Kind.STARTED:
                return Pulled(fact.path, NOT_LOADED, fact.tick, fact.tick + 1)
            case Kind.OVER if fact.since > 0:
                return Pulled(fact.path, STANDS, fact.since - 1, fact.until)
            case Kind.VALUE:
                return self._changed(fact, before)
            case _:
                return None

    def _changed(self, fact: Fact, before: int | None) -> Pulled | None:
        net = self.nets[fact.path]
        if fact.path not in self.levered.levers:
            return Pulled(fact.path, 0, fact.since, fact.until) if fact.value else None
        values = forced_values(net.shape)
        others = [value for value in values if value != fact.value]
        if not others:
            return None
        option = values.index(before if before in others else others[0]) + 1
        if net.term is None:
            if fact.since == 0:
                return None  # so it was left at the start
            return Pulled(fact.path, option, fact.since - 1, max(fact.until - 1, fact.since))
        return Pulled(fact.path, option, fact.since, fact.until)


def bench(made: Levered, trace: Trace, target: Node) -> Bench:
    """Return a run of a system made ready to be played with levers; the target is the system's."""
    part = cone(replace(made.system, allowed=made.system.pool.yes), [target])
    nets = {net.path: net for net in made.system.design.nets}
    return Bench(made, machine(part, (target,)), trace, nets)
