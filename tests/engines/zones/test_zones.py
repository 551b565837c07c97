"""Zone engines on small systems: every proof is right by exhaustive search and by the judge."""

from collections import Counter
from collections.abc import Iterator
from random import Random

import pytest

from tests.engines.zones import oracle
from tests.engines.zones.workshop import Bench, budget, question, random_system, task
from verifier.engines.contract import Asked, Budget, Engine, Task
from verifier.engines.localise import Localise
from verifier.engines.zones import COARSE_TO_FINE, Zones
from verifier.engines.zones_frame import Kept, framed
from verifier.engines.zones_proof import invariant
from verifier.engines.zones_search import Covered, Met, Search
from verifier.logic.tick import Limits, judge_invariant
from verifier.system.cone import cone
from verifier.system.expr import Node, Op, Pool
from verifier.system.model import System
from verifier.verdict.evidence import Invariant, Stopped, Why

LIMITS = Limits(steps=20_000_000, seconds=20)
ENGINES: tuple[Engine, ...] = (Zones(), Localise())
engines = pytest.mark.parametrize("engine", ENGINES, ids=lambda engine: engine.name)
starts = pytest.mark.parametrize("anywhere", [False, True], ids=["start", "anywhere"])


@engines
@starts
@pytest.mark.parametrize("first", range(0, 120, 30))
def test_proofs_agree_with_exhaustive_search(engine: Engine, first: int, *, anywhere: bool) -> None:
    count: Counter[str] = Counter()
    for seed in range(first, first + 30):
        system, target = random_system(seed)
        asked = task(system, target, anywhere=anywhere)
        met = oracle.meets(system, target, anywhere=anywhere)
        result = engine.run(asked, budget())
        count[type(result).__name__] += 1
        match result:
            case Invariant(node):
                assert not met, seed
                assert oracle.faults(asked.cone, target, node, anywhere=anywhere) == [], seed
            case Stopped(why):
                assert met, f"{seed}: {result}"
                assert why is Why.NOTHING
            case _:
                raise AssertionError(result)
    assert count["Invariant"] > 5
    assert count["Stopped"] > 5


@pytest.mark.parametrize("seed", range(200, 230))
def test_the_judge_accepts_what_exhaustive_search_accepts(seed: int) -> None:
    system, target = random_system(seed)
    result = Localise().run(task(system, target), budget())
    if isinstance(result, Invariant):
        assert judge_invariant(system, result.node, target, LIMITS, anywhere=False).sound


def test_spoilt_proofs_are_refused() -> None:
    """A case left out, a bound a tick off: the judge sees what exhaustive search sees."""
    refused = 0
    for seed in range(300, 340):
        system, target = random_system(seed)
        asked = task(system, target)
        result = Zones().run(asked, budget())
        if not isinstance(result, Invariant):
            continue
        for spoilt in spoilings(system.pool, result.node, Random(seed)):
            wrong = bool(oracle.faults(asked.cone, target, spoilt))
            ruling = judge_invariant(system, spoilt, target, LIMITS, anywhere=False)
            assert ruling.sound != wrong, seed
            refused += wrong
    assert refused > 20


def spoilings(pool: Pool, proof: Node, rng: Random) -> Iterator[Node]:
    """Yield a few near misses of a proof."""
    if proof.op is Op.OR:
        left_out = rng.randrange(len(proof.args))
        yield pool.or_(*(arg for n, arg in enumerate(proof.args) if n != left_out))
    parts = proof.args if proof.op is Op.OR else (proof,)
    chosen = rng.choice(parts)
    literals = chosen.args if chosen.op is Op.AND else (chosen,)
    for place, literal in enumerate(literals):
        inner = literal.args[0] if literal.op is Op.NOT else literal
        if inner.op is Op.ABOVE and inner.data[1] > 0:
            off = pool.above(inner.data[0], inner.data[1] + rng.choice((-1, 1)))
            other = pool.not_(off) if literal.op is Op.NOT else off
            changed = pool.and_(*(other if n == place else one for n, one in enumerate(literals)))
            yield pool.or_(*(changed if part is chosen else part for part in parts))


def settings_that_prove(system: System, target: Node) -> list[bool]:
    """Return for each setting, coarse to fine, whether it proves that the target is never met."""
    asked = task(system, target)
    frame = framed(asked.cone, target, Kept.all_of(asked.cone), anywhere=False)
    results = [
        Search(frame, one, budget()).run(anywhere=False, most=5000) for one in COARSE_TO_FINE
    ]
    assert all(isinstance(one, Covered | Met) for one in results)
    return [isinstance(one, Covered) for one in results]


def two_strikes(gap: int) -> tuple[System, Node]:
    """One button loads a clock with 3 or with 7 and another with 7 or with 3, never alike.

    The convex hull of the two cases holds 5 and 5; the target is that both run out together.
    """
    bench = Bench()
    pool = bench.pool
    begun = bench.register("begun")
    bench.draft.becomes(begun, pool.yes)
    one, two = bench.draft.open_clock(), bench.draft.open_clock()
    side = bench.choice("side")
    first = pool.not_(begun)
    here, there = pool.and_(first, side), pool.and_(first, pool.not_(side))
    bench.set_clock(one, [(here, 5 - gap, 5 - gap), (there, 5 + gap, 5 + gap)], pool.yes)
    bench.set_clock(two, [(here, 5 + gap, 5 + gap), (there, 5 - gap, 5 - gap)], pool.yes)
    last = [pool.and_(pool.above(c, 0), pool.not_(pool.above(c, 1))) for c in (one, two)]
    return bench.system(), pool.and_(*last)


def test_a_hull_that_is_too_coarse_is_tried_again_more_finely() -> None:
    system, target = two_strikes(2)
    assert settings_that_prove(system, target) == [False, True, True]
    assert isinstance(Zones().run(task(system, target), budget()), Invariant)


def test_no_setting_proves_what_is_false() -> None:
    system, target = two_strikes(0)
    assert settings_that_prove(system, target) == [False, False, False]


@engines
def test_what_is_not_asked_for_is_declined(engine: Engine) -> None:
    system, target = two_strikes(2)
    asked = task(system, target)
    for kind in (Asked.WAITING, Asked.OPEN):
        other = Task(asked.cone, asked.question, kind, target, None, seed=1)
        result = engine.run(other, budget())
        assert isinstance(result, Stopped)
        assert result.why is Why.NOT_SUITED


@engines
def test_a_spent_budget_stops_it_at_once(engine: Engine) -> None:
    system, target = two_strikes(2)
    result = engine.run(task(system, target), Budget.of(0.0))
    assert isinstance(result, Stopped)
    assert result.why is Why.TIME


def test_too_many_cells_are_told_as_such() -> None:
    bench = Bench()
    pool = bench.pool
    clocks = [bench.draft.open_clock() for _ in range(6)]
    for clock in clocks:
        bench.set_clock(clock, [(bench.choice(f"go{clock}"), 3, 3)], pool.yes)
    target = pool.and_(*(pool.above(clock, 0) for clock in clocks), bench.latch(pool.no, pool.no))
    result = Zones(most=20).run(task(bench.system(), target), budget())
    assert isinstance(result, Stopped)
    assert result.why is Why.SIZE
    assert "cells" in result.words


def test_pressings_that_nothing_hangs_on_are_not_told_apart() -> None:
    """Sixteen levers that registers remember: two keys, not 65,536."""
    bench = Bench()
    pool = bench.pool
    levers = [bench.previous(bench.choice(f"lever{n}")) for n in range(16)]
    bad = bench.latch(pool.no, pool.no)
    target = pool.and_(bad, *levers)
    asked = Task(
        cone(bench.system(), [target]), question(target, pool), Asked.BAD, target, None, seed=1
    )
    frame = framed(asked.cone, target, Kept.all_of(asked.cone), anywhere=False)
    result = Search(frame, COARSE_TO_FINE[0], budget()).run(anywhere=False, most=50)
    assert isinstance(result, Covered)
    assert len(result.keys) == 2
    proof = invariant(frame, result.keys)
    assert judge_invariant(asked.cone.system, proof, target, LIMITS, anywhere=False).sound


def test_localising_keeps_only_what_the_claim_hangs_on() -> None:
    """Ten clocks that buttons load stand beside the one that is asked about."""
    bench = Bench()
    pool = bench.pool

    def blooms(press: Node) -> Node:
        return bench.timer(lambda on: pool.and_(press, pool.not_(on)), 9)

    others = [blooms(bench.choice(f"b{n}")) for n in range(10)]
    go = pool.and_(bench.choice("go"), pool.or_(*others))
    asked_about = bench.timer(lambda on: pool.and_(go, pool.not_(on)), 4)
    target = bench.lasts_over(asked_about, 4)
    system = bench.system()
    asked = task(system, target)
    assert len(asked.cone.clocks) == 12
    result = Localise().run(asked, budget(0.05))
    assert isinstance(result, Invariant)
    assert judge_invariant(system, result.node, target, LIMITS, anywhere=False).sound
