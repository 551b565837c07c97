"""Designs made by hand that hold one of everything, and random runs of them."""

from random import Random

from tests.system.make import Bench, load
from verifier.design.model import (
    Above,
    Add,
    After,
    AlwaysPossible,
    And,
    BuiltIn,
    Case,
    Choice,
    Compare,
    Design,
    Edge,
    Eventually,
    Fixed,
    Flag,
    FromAnywhere,
    Lasts,
    LeadsTo,
    Live,
    Never,
    Not,
    Number,
    Option,
    Or,
    Picked,
    Possible,
    Read,
    ReadPick,
    Relation,
    Running,
    Subtract,
    Truth,
    While,
)
from verifier.system.model import System
from verifier.system.state import Step


def everything() -> Design:
    """A counter, a choice, a flag, timers of all kinds, edges, claims of all forms."""
    bench = Bench(one_press=True)
    up, down = bench.button("up"), bench.button("down")
    dial = bench.free_choice("dial", ("off", "slow", "fast"))
    stock = bench.keep("stock", Number(0, 5, units=False), 2)
    bench.change(
        stock,
        Case(Add(Read(stock), Fixed(1)), Edge(up, rising=True)),
        Case(Subtract(Read(stock), Fixed(1)), down),
    )
    mood = bench.keep("mood", Choice(("calm", "cross", "gone")), 0)
    empty = bench.let("empty", Compare(Relation.EQUAL, Read(stock), Fixed(0)))
    bench.change(
        mood,
        Case(Option(1), And((empty, Picked(ReadPick(mood), 0)))),
        Case(Option(2), Picked(ReadPick(dial), 2)),
        Case(Option(0), Not(empty)),
    )
    glass, wait = bench.timer("glass", 3), bench.timer("wait")
    turning = bench.let("turning", Picked(ReadPick(dial), 1))
    glass.loads = (load(Edge(turning, rising=True), 7, turned=True),)
    wait.loads = (load(And((up, Not(Above(wait, 0)))), 2, 5), load(down, 4))
    wait.runs = Or((turning, Running(glass)))
    held = bench.keep("held", Flag(), 1)
    bench.change(held, Case(Above(wait, 1), Or((up, empty))))
    both = bench.let("both", And((Live(held), Above(glass, 2))))
    bench.claim("counts", Never(Truth(value=False)), BuiltIn.COUNTS)
    bench.claim("never", Never(both))
    bench.claim("lasts", While(Live(held), Lasts(turning, 2, 4)))
    bench.claim("leads", After(empty, LeadsTo(up, both, None)))
    bench.claim("comes", Eventually(both, 6))
    bench.claim("reach", Possible(both, 9, whatever=True))
    bench.claim("open", FromAnywhere(AlwaysPossible(Live(held), None)))
    bench.assume(Lasts(up, 2, None))
    return bench.design()


def some_steps(system: System, seed: int, count: int) -> list[Step]:
    """Steps with choices at random; where a clock can be drawn, the draw fits its first range."""
    random = Random(seed)
    draws = []
    for clock in system.clocks:
        span = next(((one.low, one.high) for one in clock.loads if one.low != one.high), (0, 0))
        draws.append(span)
    return [
        Step(
            tuple(random.randrange(len(choice.options)) for choice in system.choices),
            tuple(random.randint(*span) for span in draws),
            random.randint(1, 4),
        )
        for _ in range(count)
    ]
