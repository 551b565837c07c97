"""Replay against runs worked out tick by tick: true ones are taken, and no others."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from random import Random

from tests.engines.zones.oracle import holds
from tests.properties.plants import plant
from tests.verdict.walks import Walk, joined, walk
from verifier.system.cone import cone
from verifier.system.expr import Node
from verifier.system.model import Cone
from verifier.system.state import State, Step, only
from verifier.verdict.replay import Gap, Seen, follow, replay, replay_lasso, replay_onward
from verifier.verdict.ruling import Finding
from verifier.verdict.trace import Lasso, Trace


def lives(node: Node, states: Sequence[State], steps: Sequence[Step]) -> list[bool]:
    """Return whether the node is live, step by step."""
    return [holds(node, at, step.choices) for at, step in zip(states, steps, strict=False)]


def some_of(ticks: range, live: Sequence[bool], seed: int) -> list[int]:
    """Return the ticks up to one after the first that meets, and another."""
    chosen = set(Random(seed).sample(ticks, min(2, len(ticks))))
    if True in live:
        first = live.index(True)
        chosen |= {first, first + 1, first + 2} & set(ticks)
    return sorted(chosen)


def loops(run: Walk, part: Cone, begin: int, rng: Random) -> list[int]:
    """Return ticks to which a loop could come back: all that are right, and some that are not."""
    steps, last = run.steps[begin:], only(part, run.states[-1])
    right = [i for i in range(len(steps)) if only(part, run.states[begin + i]) == last]
    return [*right[:3], -1, len(steps), rng.randrange(len(steps) + 1)]


def test_a_run_is_taken_where_its_last_tick_is_the_first_that_meets() -> None:
    taken: Counter[bool] = Counter()
    for seed in range(40):
        system, target = plant(seed)
        run = walk(system, 10, Random(seed))
        live = lives(target, run.states, run.steps)
        for ticks in some_of(range(1, len(run.steps) + 1), live, seed):
            trace = Trace(joined(run.steps[:ticks]))
            found = replay(system, trace, target, anywhere=False)
            first = live[:ticks].index(True) if True in live[:ticks] else None
            assert found.ruling.sound == (first == ticks - 1), seed
            assert found.after == (run.states[ticks] if found.ruling.sound else None), seed
            taken[found.ruling.sound] += 1
            followed = follow(system, trace)
            assert followed.ruling.sound, seed
            assert followed.after == run.states[ticks], seed
    assert min(taken.values()) > 10


def test_a_run_that_breaks_an_assumption_is_refused() -> None:
    """The same runs, but with an assumption that is broken at some tick of them."""
    refused = 0
    for seed in range(60):
        system, target = plant(seed)
        run = walk(system, 8, Random(seed))
        live = lives(target, run.states, run.steps)
        if not any(live):
            continue
        narrow = replace(system, allowed=system.pool.and_(system.allowed, system.pool.not_(target)))
        for ticks in some_of(range(1, len(run.steps) + 1), live, seed):
            trace = Trace(joined(run.steps[:ticks]))
            assert follow(narrow, trace).ruling.sound == (not any(live[:ticks])), seed
            never = replay(narrow, trace, target, anywhere=False).ruling
            assert never.finding is Finding.WRONG, seed
            refused += live[ticks - 1]
    assert refused > 10


def expected(live: Sequence[bool], back_to: int) -> Seen:
    """Return when a node is live, from what it is at each tick."""
    loop = live[back_to:]
    ticks = [*live, *loop, *loop]
    ends = [tick for tick, one in enumerate([*ticks, True]) if one]
    gaps = [Gap(0, ends[0]), *(Gap(a + 1, b - a - 1) for a, b in pairwise(ends))]
    longest = max(gaps, key=lambda gap: (gap.ticks, -gap.start))
    first = list(live).index(True) if any(live) else None
    return Seen(first, any(loop), all(loop), longest if any(loop) else None)


def test_an_endless_run_is_taken_where_it_comes_back_in_the_cone() -> None:
    taken: Counter[bool] = Counter()
    for seed in range(60):
        system, target = plant(seed)
        rng = Random(seed)
        node = system.pool.not_(target) if seed % 3 == 0 else target
        part = cone(system, [node])
        run = walk(system, 16, rng)
        length = len(run.steps)
        live, last = lives(node, run.states, run.steps), only(part, run.states[-1])
        trace = Trace(joined(run.steps))
        for back_to in loops(run, part, 0, rng):
            back = 0 <= back_to < length and only(part, run.states[back_to]) == last
            ruling, seen = replay_lasso(part, Lasso(trace, back_to), node)
            assert ruling.sound == back, seed
            assert seen == (expected(live, back_to) if back else None), seed
            taken[back] += 1
        narrow = replace(system, allowed=system.pool.not_(node))
        for back_to in loops(run, part, 0, rng)[:1] if any(live) else []:
            kept, seen = replay_lasso(cone(narrow, [node]), Lasso(trace, back_to), node)
            assert kept.finding is Finding.WRONG, seed
            assert seen is None
    assert min(taken.values()) > 50


def test_a_way_on_keeps_the_assumptions_for_ever() -> None:
    taken: Counter[bool] = Counter()
    for seed in range(60):
        system, target = plant(seed)
        rng = Random(seed)
        run = walk(system, 12, rng)
        allowed = system.allowed
        if seed % 2:
            allowed = system.pool.and_(allowed, system.pool.not_(target))
        narrow = replace(system, allowed=allowed)
        part = cone(narrow, [])
        fine = lives(allowed, run.states, run.steps)
        for begin in {0, len(run.steps) // 2} if run.steps else ():
            steps = run.steps[begin:]
            last = only(part, run.states[-1])
            for back_to in loops(run, part, begin, rng):
                back = 0 <= back_to < len(steps) and only(part, run.states[begin + back_to]) == last
                lasso = Lasso(Trace(joined(steps)), back_to)
                ruling = replay_onward(narrow, run.states[begin], lasso)
                assert ruling.sound == (back and all(fine[begin:])), seed
                taken[ruling.sound] += 1
    assert min(taken.values()) > 50
