"""Small plants of known verdict: some run meets the target first at a known tick, or none does.

The ticks are worked out by hand beside each plant: state answers one tick after its cause.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from tests.engines.zones.workshop import Bench
from tests.system import make
from verifier.system.expr import Node
from verifier.system.model import System


@dataclass(frozen=True, slots=True)
class Plant:
    """A system, a target, and the first tick at which a run meets it (None: none ever does)."""

    name: str
    system: System
    target: Node
    first: int | None


def finished(bench: Bench) -> System:
    """Return the system with a design to its name."""
    return replace(bench.system(), design=make.Bench().design())


def lamp_cycle(span: int) -> Plant:
    """A lamp burns `span`, rests `span`, and so on: two timers that restart each other.

    `burn` shows span at tick 0 and 0 at tick span; `rest` is loaded while burn shows 1, that is at
    tick span - 1, shows span at tick span, and so on with a period of 2 span. The target is the
    start of the third burning: tick 4 span.
    """
    bench = Bench()
    pool = bench.pool
    burn, rest = bench.draft.open_clock(), bench.draft.open_clock()
    ends = {c: pool.and_(pool.above(c, 0), pool.not_(pool.above(c, 1))) for c in (burn, rest)}
    bench.set_clock(burn, [(ends[rest], span, span)], pool.yes, start=span)
    bench.set_clock(rest, [(ends[burn], span, span)], pool.yes)
    starts = bench.starts(pool.above(burn, 0))
    once, twice = bench.register("once"), bench.register("twice")
    bench.draft.becomes(once, pool.or_(once, starts))
    bench.draft.becomes(twice, pool.or_(twice, pool.and_(once, starts)))
    target = pool.and_(starts, twice)
    return Plant(f"lamp of {span}", finished(bench), target, 4 * span)


def lamp_both(span: int) -> Plant:
    """The same two timers never run at once, nor does neither run."""
    bench = Bench()
    pool = bench.pool
    burn, rest = bench.draft.open_clock(), bench.draft.open_clock()
    ends = {c: pool.and_(pool.above(c, 0), pool.not_(pool.above(c, 1))) for c in (burn, rest)}
    bench.set_clock(burn, [(ends[rest], span, span)], pool.yes, start=span)
    bench.set_clock(rest, [(ends[burn], span, span)], pool.yes)
    same = pool.if_(pool.above(burn, 0), pool.above(rest, 0), pool.not_(pool.above(rest, 0)))
    return Plant(f"both lamps of {span}", finished(bench), same, None)


def too_long(span: int, bound: int, first: int | None) -> Plant:
    """A pulse of `span` that a button starts; it runs for more than `bound` ticks on end."""
    bench = Bench()
    pressed = bench.starts(bench.choice("ask"))
    running = bench.timer(lambda on: bench.pool.and_(pressed, bench.pool.not_(on)), span)
    target = bench.lasts_over(running, bound)
    return Plant(f"pulse of {span} over {bound}", finished(bench), target, first)


def interlock(*, yields: bool) -> Plant:
    """Two doors, each opened by a button's pulse unless the other stands open.

    Pressed in the same tick both open (at tick 1), unless one yields to the other's press.
    """
    bench = Bench()
    pool = bench.pool
    left, right = bench.starts(bench.choice("left")), bench.starts(bench.choice("right"))
    one, two = bench.draft.open_clock(), bench.draft.open_clock()
    other = pool.not_(left) if yields else pool.yes
    opens = pool.and_(left, pool.not_(pool.above(two, 0)))
    opens_two = pool.and_(right, pool.not_(pool.above(one, 0)), other)
    bench.set_clock(one, [(opens, 60, 60)], pool.yes)
    bench.set_clock(two, [(opens_two, 40, 40)], pool.yes)
    target = pool.and_(pool.above(one, 0), pool.above(two, 0))
    name = "interlock that yields" if yields else "interlock"
    return Plant(name, finished(bench), target, None if yields else 1)


def flashers(one: int, two: int, first: int | None) -> Plant:
    """Two flashers: when do they strike together?

    The first strikes at ticks one, 2 one, 3 one ...; the second at 1, 1 + two, 1 + 2 two ...
    """
    bench = Bench()
    pool = bench.pool
    clocks = []
    for span, start in ((one, one), (two, 1)):
        index = bench.draft.open_clock()
        strikes = pool.not_(pool.above(index, 0))
        bench.set_clock(index, [(strikes, span - 1, span - 1)], pool.yes, start=start)
        clocks.append(strikes)
    return Plant(f"flashers {one} {two}", finished(bench), pool.and_(*clocks), first)


def lucky(low: int, high: int, bound: int, first: int | None) -> Plant:
    """A drawn span runs for more than `bound` ticks: only if the draw allows it."""
    bench = Bench()
    pool = bench.pool
    index = bench.draft.open_clock()
    on = pool.above(index, 0)
    bench.set_clock(index, [(pool.and_(bench.choice("go"), pool.not_(on)), low, high)], pool.yes)
    target = bench.lasts_over(on, bound)
    return Plant(f"drawn {low} to {high} over {bound}", finished(bench), target, first)


def polite() -> Plant:
    """Two buttons, never pressed at once by assumption; a latch set by both together."""
    bench = Bench()
    pool = bench.pool
    one, two = bench.choice("one"), bench.choice("two")
    bench.allowed.append(pool.not_(pool.and_(one, two)))
    both = bench.latch(pool.and_(one, two), pool.no)
    return Plant("never together", finished(bench), both, None)


def in_turn() -> Plant:
    """Three levers in order, each in time after the one before: 0, 1, 2, then the latch at 3."""
    bench = Bench()
    pool = bench.pool
    levers = [bench.starts(bench.choice(f"lever{n}")) for n in range(3)]
    bench.allowed.append(
        pool.and_(
            *(pool.not_(pool.and_(levers[a], levers[b])) for a in range(3) for b in range(a + 1, 3))
        )
    )
    first = bench.timer(lambda _on: levers[0], 5)
    second = bench.timer(lambda _on: pool.and_(levers[1], first), 5)
    opened = bench.latch(pool.and_(levers[2], second), pool.no)
    return Plant("levers in turn", finished(bench), opened, 3)


HOUR = 360_000
"""An hour at a tick of 10 ms."""

MAKERS: tuple[Callable[[], Plant], ...] = (
    lambda: lamp_cycle(7),
    lambda: lamp_cycle(HOUR),
    lambda: lamp_both(HOUR),
    lambda: too_long(60, 60, None),
    lambda: too_long(60, 59, 60),
    lambda: interlock(yields=False),
    lambda: interlock(yields=True),
    lambda: flashers(6, 9, None),
    lambda: flashers(5, 8, 25),
    lambda: lucky(4, 9, 9, None),
    lambda: lucky(4, 9, 8, 9),
    polite,
    in_turn,
)
