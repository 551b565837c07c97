"""A row of jumps has the runs that a search over every state has, no fewer and no others.

Too few would make a bounded proof say too much; others would be no runs.
"""

from collections import Counter
from dataclasses import dataclass, replace

import pytest

from tests.bank.plants import finished
from tests.engines.zones.workshop import Bench
from tests.logic.shed import LIMITS
from tests.properties.plants import earliest, plant
from verifier.logic.judge import Case, judge
from verifier.logic.jumps import Unrolling
from verifier.logic.native import Result, Room
from verifier.simulate.onward import completed
from verifier.system.cone import cone
from verifier.system.expr import Node
from verifier.system.model import Cone, Load, System
from verifier.verdict.evidence import Closed
from verifier.verdict.replay import replay
from verifier.verdict.trace import Trace

FAR = 7
PARTS = 4


def part_of(system: System, target: Node, *, anywhere: bool) -> Cone:
    return cone(system, [target, system.domain] if anywhere else [target])


@dataclass(frozen=True, slots=True)
class Found:
    """The first tick at which jumps meet a target, a run that does, how many cover all runs."""

    tick: int | None
    run: Trace | None
    jumps: int


def found_by(part: Cone, target: Node, last: int, *, anywhere: bool) -> Found:
    """Look for the target in one jump after another, up to a tick."""
    best, run = None, None
    with Room(logic="", seed=1) as room:
        unrolling = Unrolling(room, part, target, anywhere)
        for jump in range(last + 2):
            for tick in range(last + 1 if best is None else best):
                if room.check([unrolling.met(jump), unrolling.begins_by(jump, tick)]) is Result.SAT:
                    best, run = tick, unrolling.trace(room.model(), jump)
                    assert unrolling.begins(room.model(), jump) == tick
                    break
            unrolling.extend()
            if room.check([unrolling.begins_by(jump + 1, last)]) is Result.UNSAT:
                return Found(best, run, jump + 1)
    raise AssertionError("a jump is at least a tick")


@pytest.mark.parametrize("part", range(PARTS))
def test_the_first_meeting_is_that_of_a_search_over_every_state(part: int) -> None:
    kinds: Counter[str] = Counter()
    for seed in range(part, 160, PARTS):
        system, target = plant(seed)
        anywhere = seed % 8 < PARTS
        first = earliest(system, target, anywhere=anywhere)
        if first is not None and first > FAR:
            first = None
        found = found_by(part_of(system, target, anywhere=anywhere), target, FAR, anywhere=anywhere)
        assert found.tick == first, seed
        kinds["missed" if first is None else "soon"] += 1
        case = Case(system, target, anywhere)
        assert judge(case, Closed(FAR, found.jumps), LIMITS).ruling.sound == (first is None), seed
        if found.run is None or first is None:
            continue
        if first:
            assert judge(case, Closed(first - 1, found.jumps), LIMITS).ruling.sound, seed
        run = completed(system, found.run)
        assert run.length - 1 == first, seed
        assert replay(system, run, target, anywhere=anywhere).ruling.sound, seed
    assert min(kinds[kind] for kind in ("soon", "missed")) > 2


@pytest.mark.parametrize("span", [1, 2, 5, 6, 400])
def test_a_row_of_glasses_is_met_at_its_tick(span: int) -> None:
    """One glass starts the next when it ends; the last ends at tick 3 span, whatever is pressed."""
    bench = Bench()
    pool = bench.pool
    stirs = bench.choice("stirs")
    glasses = [bench.draft.open_clock() for _ in range(3)]
    ends = [pool.and_(pool.above(one, 0), pool.not_(pool.above(one, 1))) for one in glasses]
    bench.set_clock(glasses[0], [], pool.yes, start=span)
    for before, glass in zip(ends, glasses[1:], strict=False):
        bench.set_clock(glass, [(before, span, span)], pool.yes)
    stirred = bench.register("stirred")
    bench.draft.becomes(stirred, stirs)
    done = bench.register("done")
    bench.draft.becomes(done, pool.or_(done, ends[2]))
    system = finished(bench)
    assert first_by_jumps(system, done) == 3 * span


@pytest.mark.parametrize(("low", "high"), [(2, 2), (1, 4), (3, 9), (0, 2)])
def test_a_drawn_span_is_over_at_its_least(low: int, high: int) -> None:
    bench = Bench()
    pool = bench.pool
    begun = bench.register("begun")
    bench.draft.becomes(begun, pool.yes)
    glass = bench.draft.open_clock()
    bench.set_clock(glass, [(pool.not_(begun), low, high)], pool.yes)
    system = finished(bench)
    over = pool.and_(begun, pool.not_(pool.above(glass, 0)))
    assert first_by_jumps(system, over) == 1 + low
    full = pool.and_(begun, pool.above(glass, high - 1))
    assert first_by_jumps(system, full) == 1
    beyond = pool.above(glass, high)
    assert first_by_jumps(system, beyond) is None


def test_a_turned_glass_is_looked_at_tick_by_tick() -> None:
    bench = Bench()
    pool = bench.pool
    turn = bench.choice("turn")
    glass = bench.draft.open_clock()
    bench.set_clock(glass, [(turn, 6, 6)], pool.yes, start=6)
    system = finished(bench)
    turned = replace(system.clocks[0], loads=(Load(turn, 6, 6, turned=True),))
    system = replace(system, clocks=(turned,))
    exactly = pool.and_(pool.above(glass, 3), pool.not_(pool.above(glass, 4)))
    assert first_by_jumps(system, exactly) == earliest(system, exactly) == 2


def first_by_jumps(system: System, target: Node) -> int | None:
    """Return the first tick at which a row of jumps meets a target."""
    with Room(logic="", seed=1) as room:
        unrolling = Unrolling(room, cone(system, [target]), target, anywhere=False)
        for jump in range(40):
            if room.check([unrolling.met(jump)]) is Result.SAT:
                low, high = 0, 1200
                while low < high:
                    middle = (low + high) // 2
                    in_time = room.and_((unrolling.met(jump), unrolling.begins_by(jump, middle)))
                    low, high = (
                        (low, middle) if room.check([in_time]) is Result.SAT else (middle + 1, high)
                    )
                return low
            unrolling.extend()
            if room.check() is Result.UNSAT:
                break
    return None
