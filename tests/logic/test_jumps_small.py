"""Very small systems, many of them: what a bounded proof may say, by a look at every run.

Each has at most two clocks, two flags and two choices, so that in some of them no rule but one of
docs/adr/0012 matters.
"""

from collections import Counter
from random import Random

import pytest

from tests.logic.shed import LIMITS, Shed
from tests.properties.plants import earliest
from verifier.logic.judge import Case, judge
from verifier.system.expr import Node
from verifier.system.model import Load, System
from verifier.verdict.evidence import Closed

FAR = 3
PARTS = 2
SEEDS = 160


def any_of(rng: Random, atoms: list[Node], shed: Shed) -> Node:
    """Return one or two of the atoms, joined in some way."""
    pool = shed.pool
    one, other = (
        atom if rng.random() < 0.6 else pool.not_(atom) for atom in rng.choices(atoms, k=2)
    )
    return rng.choice((one, other, pool.and_(one, other), pool.or_(one, other)))


def small(seed: int) -> tuple[System, list[Node]]:
    """Return a system and some targets."""
    rng = Random(seed)
    shed = Shed()
    pool = shed.pool
    picks = [
        shed.choice(f"p{place}", rng.choice((2, 2, 3))) for place in range(rng.choice((0, 1, 1, 2)))
    ]
    bits = [
        shed.bit(f"b{place}", start=rng.random() < 0.4, kept=rng.random() < 0.7)
        for place in range(rng.choice((0, 1, 1, 2)))
    ]
    spans = [rng.randint(1, 4) for _ in range(rng.choice((1, 1, 2)))]
    clocks = [
        shed.clock(f"c{place}", start=rng.choice((0, span, span)), kept=rng.random() < 0.7)
        for place, span in enumerate(spans)
    ]
    aboves = [
        pool.above(clock, k)
        for clock, span in zip(clocks, spans, strict=True)
        for k in sorted({rng.randrange(span), rng.randrange(span)})
    ]
    atoms = [*picks, *bits, *aboves]
    for bit in bits:
        shed.becomes(bit, any_of(rng, atoms, shed))
    for clock, span in zip(clocks, spans, strict=True):
        loads = []
        for _ in range(rng.choice((0, 1, 1, 2))):
            low = rng.choice((span, rng.randint(0, span)))
            turned = low == span and rng.random() < 0.2
            loads.append(Load(any_of(rng, atoms, shed), low, span, turned=turned))
        shed.loads(clock, *loads)
        if rng.random() < 0.4:
            shed.runs(clock, any_of(rng, atoms, shed))
    allowed = any_of(rng, atoms, shed) if rng.random() < 0.25 else pool.yes
    domain = any_of(rng, [*bits, *aboves], shed) if rng.random() < 0.25 else pool.yes
    targets = [rng.choice(aboves), *(pool.and_(*rng.choices(atoms, k=2)) for _ in range(2))]
    return shed.system(allowed=allowed, domain=domain), targets


@pytest.mark.parametrize("part", range(PARTS))
def test_a_bounded_proof_leaves_out_no_run(part: int) -> None:
    """Where a run meets the target, no number of jumps proves that none does; before, enough do.

    What is met at the start needs no jump, so it says nothing of them.
    """
    kinds: Counter[str] = Counter()
    for seed in range(part, SEEDS, PARTS):
        system, targets = small(seed)
        anywhere = seed % 3 == 0
        for target in dict.fromkeys(targets):
            first = earliest(system, target, anywhere=anywhere)
            kinds["none" if first is None else "later" if first else "at the start"] += 1
            case = Case(system, target, anywhere)
            if first is None:
                assert judge(case, Closed(FAR, FAR + 1), LIMITS).ruling.sound, seed
            elif first:
                assert judge(case, Closed(first - 1, first), LIMITS).ruling.sound, seed
                for jumps in sorted({1, 2, 3, first + 1}):
                    assert not judge(case, Closed(first, jumps), LIMITS).ruling.sound, (seed, jumps)
    assert min(kinds[kind] for kind in ("none", "later")) > 20
