"""Random designs, lowered and run in the reference simulator, against the interpreter."""

from dataclasses import dataclass, field
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.semantics.interpreter import Interpreter
from tests.system.make import Bench, load
from verifier.design.model import (
    Above,
    Add,
    And,
    BuiltIn,
    Case,
    Choice,
    Compare,
    Cond,
    CondIf,
    Edge,
    Fixed,
    Flag,
    Fold,
    HowMany,
    Live,
    Net,
    Never,
    Not,
    Num,
    Number,
    NumIf,
    Option,
    Or,
    Pick,
    Picked,
    PickIf,
    Read,
    ReadPick,
    Relation,
    Scaled,
    Shape,
    Subtract,
    Term,
    Timer,
    Truth,
)
from verifier.system.cone import whole
from verifier.system.fold import evaluate
from verifier.system.lower import lower
from verifier.system.model import Bits, System
from verifier.system.program import program
from verifier.system.state import State, start_of

WIDE = Number(-12, 12, units=False)
SHAPES: tuple[Shape, ...] = (Flag(), Number(0, 3, units=False), Choice(("a", "b", "c")))


@dataclass
class Garden:
    """Makes a design at random; terms read only what was made before them."""

    random: Random
    bench: Bench = field(default_factory=Bench)
    edges: list[Edge] = field(default_factory=list)

    def nets(self, kind: type[Shape]) -> list[Net]:
        return [net for net in self.bench.nets if isinstance(net.shape, kind)]

    def condition(self, depth: int) -> Cond:
        random = self.random
        inner = [self.condition(depth - 1) for _ in range(3)] if depth else []
        timers = self.bench.timers
        leaves: list[Cond] = [
            Truth(value=random.random() < 0.5),
            *(Live(net) for net in self.nets(Flag)),
            *(Above(timer, random.randrange(5)) for timer in timers),
        ]
        if not depth:
            return random.choice(leaves)
        made: list[Cond] = [
            random.choice(leaves),
            Not(inner[0]),
            And(tuple(inner[: random.randrange(4)])),
            Or(tuple(inner[: random.randrange(4)])),
            CondIf(*inner),
            Compare(random.choice(list(Relation)), self.number(depth - 1), self.number(depth - 1)),
            Picked(self.pick(depth - 1), random.randrange(3)),
            self.edge(inner[0]),
        ]
        return random.choice(made)

    def edge(self, inner: Cond) -> Edge:
        made = Edge(inner, rising=self.random.random() < 0.5)
        self.edges.append(made)
        return made

    def number(self, depth: int) -> Num:
        random = self.random
        leaves: list[Num] = [Fixed(random.randrange(-2, 4))]
        leaves.extend(Read(net) for net in self.nets(Number))
        if not depth:
            return random.choice(leaves)
        one, two = self.number(depth - 1), self.number(depth - 1)
        made: list[Num] = [
            random.choice(leaves),
            Add(one, two),
            Subtract(one, two),
            Scaled(Fold.TIMES, one, random.randrange(-2, 3)),
            Scaled(random.choice([Fold.DIV, Fold.MOD]), one, random.randrange(1, 4)),
            NumIf(self.condition(depth - 1), one, two),
            HowMany(tuple(self.condition(depth - 1) for _ in range(random.randrange(4)))),
        ]
        return random.choice(made)

    def pick(self, depth: int) -> Pick:
        random = self.random
        leaves: list[Pick] = [Option(random.randrange(3))]
        leaves.extend(ReadPick(net) for net in self.nets(Choice))
        if not depth:
            return random.choice(leaves)
        return PickIf(self.condition(depth - 1), self.pick(depth - 1), self.pick(depth - 1))

    def term(self, shape: Shape) -> Term:
        depth = self.random.randrange(3)
        match shape:
            case Flag():
                return self.condition(depth)
            case Number():
                return self.number(depth)
            case Choice():
                return self.pick(depth)

    def grow(self) -> None:
        """Make sources first, then nets over them, then what changes the sources."""
        random, bench = self.random, self.bench
        bench.button("button")
        bench.free_choice("dial", ("x", "y", "z"))
        bench.free_number("knob", -1, 1)
        kept = [
            bench.keep(f"kept {number}", random.choice(SHAPES), random.randrange(2))
            for number in range(random.randrange(4))
        ]
        timers = [
            bench.timer(f"timer {number}", random.randrange(4))
            for number in range(random.randrange(3))
        ]
        for number in range(random.randrange(6)):
            shape = random.choice((*SHAPES, WIDE))
            bench.net(f"net {number}", shape, self.term(shape))
        for net in kept:
            cases = [
                Case(self.term(net.shape), self.condition(2)) for _ in range(random.randrange(3))
            ]
            bench.change(net, *cases)
        for timer in timers:
            self.wind(timer)
        bench.claim("counts", Never(Truth(value=False)), BuiltIn.COUNTS)

    def wind(self, timer: Timer) -> None:
        random = self.random
        loads = []
        for _ in range(random.randrange(3)):
            low = random.randrange(5)
            turned = random.random() < 0.2
            high = low if turned else low + random.choice([0, 0, 2])
            loads.append(load(self.condition(2), low, high, turned=turned))
        timer.loads = tuple(loads)
        if random.random() < 0.5:
            timer.runs = self.condition(1)


def shown(at: State, live: dict[int, bool], bits: Bits, shape: Shape | None) -> int:
    """What something named shows: 0 or 1, a number, the position of an option, ticks."""
    if bits.timer is not None:
        return at.clocks[bits.timer]
    truths = [live[node.number] for node in bits.nodes]
    match shape:
        case Choice():
            assert sum(truths) == 1
            return truths.index(True)
        case Number(low=low):
            assert truths == sorted(truths, reverse=True)
            assert low == bits.low
            return low + sum(truths)
        case _:
            (truth,) = truths
            return int(truth)


def draws_at(system: System, live: dict[int, bool], random: Random) -> tuple[int, ...]:
    """Draws that fit the loads taken at this tick."""
    draws = []
    for clock in system.clocks:
        taken = next((one for one in clock.loads if live[one.when.number]), None)
        draws.append(0 if taken is None else random.randint(taken.low, taken.high))
    return tuple(draws)


def compare(seed: int, length: int) -> int:
    """Run one random design both ways; return how many values were compared."""
    random = Random(seed)
    garden = Garden(random)
    garden.grow()
    design = garden.bench.design()
    system = lower(design)
    nodes = [node for bits in system.shown.values() for node in bits.nodes]
    nodes.extend(one.when for clock in system.clocks for one in clock.loads)
    nodes.extend([system.questions[0].bad, system.domain])
    run, at = program(whole(system)), start_of(system)
    second = Interpreter(design, garden.edges)
    shapes = {net.path: net.shape for net in design.nets}
    clocks = {timer: system.shown[timer.path].timer or 0 for timer in design.timers}
    for _ in range(length):
        choices = tuple(random.randrange(len(choice.options)) for choice in system.choices)
        live = evaluate(nodes, choices, at.registers, at.clocks)
        draws = draws_at(system, live, random)
        expected = second.tick(choices, {timer: draws[clocks[timer]] for timer in design.timers})
        found = {
            path: shown(at, live, bits, shapes.get(path)) for path, bits in system.shown.items()
        }
        assert found == expected
        assert live[system.questions[0].bad.number] == second.overflow
        assert live[system.domain.number]
        at, _ = run.step(at, choices, draws)
    return length * len(system.shown)


@settings(max_examples=5 * settings().max_examples)
@given(st.integers(0, 10**9))
def test_a_lowered_design_does_what_the_design_says(seed: int) -> None:
    assert compare(seed, 25) > 0


@pytest.mark.slow
def test_many_lowered_designs_do_what_the_designs_say() -> None:
    assert sum(compare(seed, 40) for seed in range(5_000)) > 1_000_000
