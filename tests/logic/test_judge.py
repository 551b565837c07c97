"""The judge takes true evidence and nothing else: its rulings against a look at every state."""

from collections import Counter
from dataclasses import replace
from random import Random

import pytest

from tests.bank.plants import interlock, lamp_both, too_long
from tests.engines.zones.oracle import faults
from tests.engines.zones.workshop import budget, task
from tests.properties.plants import earliest, plant
from verifier.engines.bounded import Bounded
from verifier.engines.contract import Budget
from verifier.engines.zones import Zones
from verifier.logic.judge import Case, judge
from verifier.logic.tick import Limits
from verifier.system.cone import cone
from verifier.system.expr import Node, Op, Pool
from verifier.verdict.evidence import Closed, Invariant, Reaches
from verifier.verdict.ruling import Finding

LIMITS = Limits(steps=20_000_000, seconds=20)


def mutated(pool: Pool, node: Node, rng: Random) -> Node:
    """Return the condition with one comparison off by a tick, one part left out, or one turned."""
    if node.op in (Op.ABOVE, Op.GAP):
        off = node.data[-1] + rng.choice((-1, 1))
        if node.op is Op.GAP:
            return pool.gap(node.data[0], node.data[1], off)
        return pool.above(node.data[0], off)
    if not node.args:
        return pool.not_(node)
    if node.op in (Op.AND, Op.OR) and rng.random() < 0.3:
        kept = list(node.args)
        kept.pop(rng.randrange(len(kept)))
        return pool.and_(*kept) if node.op is Op.AND else pool.or_(*kept)
    args = list(node.args)
    place = rng.randrange(len(args))
    args[place] = mutated(pool, args[place], rng)
    match node.op:
        case Op.NOT:
            return pool.not_(args[0])
        case Op.AND:
            return pool.and_(*args)
        case Op.OR:
            return pool.or_(*args)
        case _:
            return pool.if_(*args)


@pytest.mark.parametrize("part", range(6))
def test_rulings_on_invariants_are_those_of_every_state(part: int) -> None:
    rulings: Counter[Finding] = Counter()
    for seed in range(part, 240, 6):
        system, target = plant(seed)
        anywhere = seed % 4 == 3
        evidence = Zones().run(task(system, target, anywhere=anywhere), budget(2.0))
        if not isinstance(evidence, Invariant):
            continue
        rng = Random(seed)
        node = evidence.node
        roots = [node, target, system.domain] if anywhere else [node, target]
        part_of = cone(system, roots)
        case = Case(system, target, anywhere)
        for _ in range(3):
            ruling = judge(case, Invariant(node), LIMITS).ruling
            flawed = bool(faults(part_of, target, node, anywhere=anywhere))
            assert ruling.finding is (Finding.WRONG if flawed else Finding.SOUND), seed
            rulings[ruling.finding] += 1
            node = mutated(system.pool, evidence.node, rng)
    assert rulings[Finding.WRONG] > 5
    assert rulings[Finding.SOUND] > 5


def test_an_invariant_that_speaks_of_choices_is_refused() -> None:
    door = interlock(yields=True)
    node = door.system.pool.not_(door.system.pool.pick(0, 1))
    ruling = judge(Case(door.system, door.target, anywhere=False), Invariant(node), LIMITS).ruling
    assert ruling.finding is Finding.WRONG
    assert "choices" in ruling.words


def test_a_judge_without_time_is_unsure() -> None:
    door = interlock(yields=True)
    ruling = judge(
        Case(door.system, door.target, anywhere=False),
        Invariant(door.system.pool.not_(door.target)),
        Limits(steps=1, seconds=5),
    ).ruling
    assert ruling.finding is Finding.UNSURE


def test_a_bounded_proof_is_asked_again() -> None:
    """The true bound is taken; one tick more, or one jump less, is not."""
    checked = 0
    for seed in range(60):
        system, target = plant(seed)
        first = earliest(system, target)
        if not first:
            continue
        evidence = Bounded(most=30).run(
            replace(task(system, target), horizon=first - 1), Budget.of(1.0)
        )
        assert isinstance(evidence, Closed), seed
        case = Case(system, target, anywhere=False)
        assert judge(case, evidence, LIMITS).ruling.sound, seed
        later = Closed(first, evidence.jumps)
        assert judge(case, later, LIMITS).ruling.finding is Finding.WRONG, seed
        fewer = Closed(None, evidence.jumps)
        assert judge(case, fewer, LIMITS).ruling.finding is Finding.WRONG, seed
        checked += 1
    assert checked > 10


def test_a_run_that_is_changed_is_refused() -> None:
    pulse = too_long(60, 59, 60)
    found = Bounded().run(task(pulse.system, pulse.target), Budget.of(2.0))
    assert isinstance(found, Reaches)
    case = Case(pulse.system, pulse.target, anywhere=False)
    assert judge(case, found, LIMITS).ruling.sound
    first, *rest = found.trace.steps
    for steps in (
        (replace(first, ticks=first.ticks + 1), *rest),
        (replace(first, choices=(0,) * len(first.choices)), *rest),
        (replace(first, choices=(5,) * len(first.choices)), *rest),
        (*found.trace.steps, rest[-1]),
        tuple(rest[:-1]),
        (),
    ):
        changed = Reaches(replace(found.trace, steps=tuple(steps)))
        assert judge(case, changed, LIMITS).ruling.finding is Finding.WRONG


def test_a_run_from_elsewhere_is_refused() -> None:
    lamps = lamp_both(5)
    found = Bounded().run(task(lamps.system, lamps.target, anywhere=True), Budget.of(2.0))
    assert isinstance(found, Reaches)
    assert judge(Case(lamps.system, lamps.target, anywhere=True), found, LIMITS).ruling.sound
    ruling = judge(Case(lamps.system, lamps.target, anywhere=False), found, LIMITS).ruling
    assert ruling.finding is Finding.WRONG
