"""Verdicts and times of engines, and whole answers, against a search over every state.

By default a few hundred systems; LATCHWORK_SYSTEMS=5000 looks at as many, LATCHWORK_FIRST_SEED
moves on to others. A failure names the seed, and `plant(seed)` makes the system again.
"""

import os
from collections import Counter
from collections.abc import Mapping
from dataclasses import replace

import pytest

from tests.engines.zones.oracle import starts
from tests.engines.zones.workshop import question
from tests.properties.plants import (
    distances,
    earliest,
    earliest_for_ever,
    goes_on,
    plant,
    reachable_states,
    waits_for_ever,
)
from verifier.design.bounds import Measure
from verifier.engines.bounded import Bounded
from verifier.engines.contract import Asked, Budget, Engine, Task
from verifier.engines.decide import Decider, Effort
from verifier.engines.portfolio import ENGINES
from verifier.engines.waits import Waits
from verifier.engines.walk import Walk
from verifier.engines.ways import Ways
from verifier.logic.judge import Case, judge
from verifier.logic.tick import Limits
from verifier.simulate.onward import completed
from verifier.system.cone import cone
from verifier.system.expr import Node
from verifier.system.model import Form, System
from verifier.system.state import State
from verifier.verdict.answer import Outcome, Reach, Verdict
from verifier.verdict.evidence import (
    Closed,
    Evidence,
    Explored,
    Guided,
    Invariant,
    Patient,
    Reaches,
    Stopped,
    Trapped,
)
from verifier.verdict.explored import Shows
from verifier.verdict.replay import follow, replay

SYSTEMS = int(os.environ.get("LATCHWORK_SYSTEMS", "240"))
FIRST = int(os.environ.get("LATCHWORK_FIRST_SEED", "0"))
PARTS = 11

parts = pytest.mark.parametrize("part", range(PARTS))


def seeds(part: int, share: int = 1) -> range:
    """Return the seeds of one part of the systems; `share` takes fewer of them."""
    return range(FIRST + part, FIRST + SYSTEMS // share, PARTS)


def handed_in(
    engine: Engine,
    system: System,
    target: Node,
    horizon: int | None,
    seed: int,
    *,
    effort: float,
) -> Evidence | Stopped:
    anywhere = seed % 4 == 3
    roots = [target, system.domain] if anywhere else [target]
    asked = question(target, system.pool, anywhere=anywhere)
    task = Task(cone(system, roots), asked, Asked.BAD, target, horizon, seed)
    return engine.run(task, Budget.of(effort))


def check(seed: int, evidence: Evidence | Stopped, horizon: int | None, first: int | None) -> None:
    """Check what an engine says of a system whose target is first met at tick `first`."""
    system, target = plant(seed)
    match evidence:
        case Reaches(trace, proved):
            run = completed(system, trace)
            assert replay(system, run, target, anywhere=seed % 4 == 3).ruling.sound, seed
            assert first is not None, seed
            assert trace.length - 1 >= first, seed
            if proved and trace.length - 1 > first:
                # What was met sooner must be by runs that cannot go on within the assumptions.
                counted = earliest_for_ever(system, target, anywhere=seed % 4 == 3)
                assert counted is not None, seed
                assert trace.length - 1 == counted, seed
            assert horizon is None or trace.length - 1 <= horizon, seed
        case Closed(until):
            assert first is None or (until is not None and until < first), seed
        case Invariant():
            assert first is None, seed
        case Explored() if system.allowed is system.pool.yes:
            assert first is None, seed
        case _:
            pass


def horizon_of(seed: int, first: int | None) -> int | None:
    """Return a horizon: none, some, or just at or before the first meeting."""
    near = 9 if first is None else first
    return (None, 12, near, max(0, near - 1))[seed // 4 % 4]


@parts
def test_bounded_jumps_agree_with_every_state(part: int) -> None:
    kinds: Counter[str] = Counter()
    for seed in seeds(part):
        system, target = plant(seed)
        first = earliest(system, target, anywhere=seed % 4 == 3)
        horizon = horizon_of(seed, first)
        evidence = handed_in(Bounded(most=40), system, target, horizon, seed, effort=0.6)
        check(seed, evidence, horizon, first)
        kinds[type(evidence).__name__] += 1
        if horizon is not None and first is not None and first <= horizon <= 12:
            assert isinstance(evidence, Reaches), seed
    assert kinds["Reaches"]
    assert kinds["Closed"]


@parts
def test_walks_are_runs_and_never_too_early(part: int) -> None:
    found = 0
    for seed in seeds(part):
        system, target = plant(seed)
        first = earliest(system, target, anywhere=seed % 4 == 3)
        evidence = handed_in(Walk(), system, target, None, seed, effort=0.05)
        check(seed, evidence, None, first)
        found += isinstance(evidence, Reaches)
    assert found


@parts
def test_no_engine_says_what_every_state_denies(part: int) -> None:
    """What engines hand in before any judge looks at it, one by one."""
    kinds: Counter[str] = Counter()
    engines = {turn.engine.name: turn.engine for turn in ENGINES}.values()
    for seed in seeds(part, share=4):
        system, target = plant(seed)
        first = earliest(system, target, anywhere=seed % 4 == 3)
        for engine in engines:
            evidence = handed_in(engine, system, target, None, seed, effort=0.05)
            check(seed, evidence, None, first)
            kinds[type(evidence).__name__] += 1
    assert kinds["Reaches"]
    assert kinds["Invariant"]


@parts
def test_answers_agree_with_every_state(part: int) -> None:
    """All engines and the judge: AVOID and REACH, assumptions and runs for ever included."""
    verdicts: Counter[Verdict] = Counter()
    for seed in seeds(part, share=2):
        system, target = plant(seed)
        anywhere = seed % 4 == 3
        first = earliest_for_ever(system, target, anywhere=anywhere)
        begins = list(starts(system, anywhere=anywhere))
        asked = question(target, system.pool, anywhere=anywhere)
        if seed % 3 == 0:
            asked = replace(asked, form=Form.REACH, bad=system.pool.no, goal=target)
        outcome = Decider(system, Effort(0.6, seed=seed), worst=False).decide(asked)
        verdicts[outcome.verdict] += 1
        met = Verdict.HOLDS if asked.form is Form.REACH else Verdict.FAILS
        missed = Verdict.FAILS if asked.form is Form.REACH else Verdict.HOLDS
        assert not outcome.fault, seed
        if outcome.verdict is met:
            assert begins, seed
            assert first is not None, seed
            assert outcome.trace is not None, seed
            assert outcome.trace.length - 1 >= first, seed
            assert not outcome.earliest or outcome.trace.length - 1 == first, seed
        elif outcome.verdict is missed:
            ends = outcome.until if outcome.reach is Reach.UP_TO else None
            assert first is None or (ends is not None and ends < first), seed
    assert verdicts[Verdict.UNKNOWN] * 4 < sum(verdicts.values())


@parts
def test_dead_ends_agree_with_every_state(part: int) -> None:
    """By each engine for dead ends alone, and by all of them."""
    verdicts: Counter[tuple[str, bool]] = Counter()
    for seed in seeds(part, share=4):
        system, goal = plant(seed)
        anywhere = seed % 4 == 3
        limit = (None, 0, 2)[seed % 3]
        none = question(system.pool.no, system.pool, anywhere=anywhere)
        asked = replace(none, form=Form.OPEN, goal=goal, limit=limit)
        if not goes_on(system, reachable_states(system, starts(system, anywhere=anywhere))):
            continue
        away = distances(system, goal, anywhere=anywhere)
        trapped = any(one is None or (limit is not None and one > limit) for one in away.values())
        outcome = Decider(system, Effort(0.6, seed=seed), worst=False).decide(asked)
        assert not outcome.fault, seed
        assert outcome.verdict is not (Verdict.HOLDS if trapped else Verdict.FAILS), seed
        verdicts[outcome.verdict.value, trapped] += 1
        verdicts["measured", trapped] += _measured(system, outcome, away, anywhere=anywhere)
        case = Case(system, goal, anywhere, shows=Shows.CAN_COME)
        task = Task(case.cone, asked, Asked.OPEN, goal, None, seed)
        evidence = Ways().run(task, Budget.of(0.3))
        if not isinstance(evidence, Stopped):
            if isinstance(evidence, Trapped):
                evidence = replace(evidence, trace=completed(system, evidence.trace))
            assert judge(case, evidence, Limits(10_000_000, 10)).ruling.sound, seed
            if isinstance(evidence, Guided):
                assert not trapped, seed
            elif system.allowed is system.pool.yes:
                assert trapped, seed
        verdicts[f"ways: {type(evidence).__name__}", trapped] += 1
    assert verdicts["holds", False] + verdicts["fails", True]
    assert verdicts["measured", False] + verdicts["measured", True]


def _measured(
    system: System, outcome: Outcome, away: Mapping[State, int | None], *, anywhere: bool
) -> bool:
    """Look at what an answer says of how far away the goal is; return whether it says anything."""
    worst = [one.value for one in outcome.margins if one.measure is Measure.FARTHEST]
    assert worst in ([], [max(filter(None, away.values()), default=0)])
    if outcome.away is not None:
        assert outcome.trace is not None
        after = follow(system, outcome.trace, anywhere=anywhere).after
        assert after is not None
        ticks = away[after]
        assert ticks is not None
        assert ticks >= outcome.away.ticks
        assert ticks == outcome.away.ticks or not outcome.away.exact
        assert not worst or ticks == worst[0]
    return bool(worst)


@parts
def test_waits_agree_with_every_state(part: int) -> None:
    """What comes again and again, by the bound on waiting alone and by all engines."""
    verdicts: Counter[tuple[str, bool]] = Counter()
    for seed in seeds(part, share=4):
        system, waiting = plant(seed)
        anywhere = seed % 4 == 3
        none = question(system.pool.no, system.pool, anywhere=anywhere)
        asked = replace(none, form=Form.AGAIN, waiting=waiting)
        if not goes_on(system, reachable_states(system, starts(system, anywhere=anywhere))):
            continue
        for_ever = waits_for_ever(system, waiting, anywhere=anywhere)
        outcome = Decider(system, Effort(0.6, seed=seed), worst=False).decide(asked)
        assert not outcome.fault, seed
        assert outcome.verdict is not (Verdict.HOLDS if for_ever else Verdict.FAILS), seed
        verdicts[outcome.verdict.value, for_ever] += 1
        case = Case(system, waiting, anywhere)
        task = Task(case.cone, asked, Asked.WAITING, waiting, None, seed)
        evidence = Waits().run(task, Budget.of(0.3))
        if isinstance(evidence, Patient):
            assert not for_ever, seed
            assert judge(case, evidence, Limits(10_000_000, 10)).ruling.sound, seed
        verdicts[f"waits: {type(evidence).__name__}", for_ever] += 1
    assert verdicts["holds", False] + verdicts["fails", True]
