"""The solver's own search for invariants: crowds, small systems known in full, limits."""

import os
from collections import Counter

import pytest

from tests.bank.garden import tasks
from tests.bank.plants import MAKERS
from tests.engines.induction.crowds import CROWDS
from tests.engines.zones.workshop import question, task
from tests.properties.plants import earliest, plant
from verifier.engines.contract import Asked, Budget, Task
from verifier.engines.spacer import Spacer
from verifier.engines.structural import Structural
from verifier.logic.judge import Case, judge
from verifier.logic.tick import Limits
from verifier.system.cone import cone
from verifier.verdict.evidence import Invariant, Stopped, Why

LIMITS = Limits(steps=20_000_000, seconds=20)
SYSTEMS = int(os.environ.get("LATCHWORK_SYSTEMS", "240"))
FIRST = int(os.environ.get("LATCHWORK_FIRST_SEED", "0"))
PARTS = 4


@pytest.mark.parametrize("tick", [1000, 10])
@pytest.mark.parametrize("make", CROWDS, ids=lambda make: make().name)
def test_crowds_are_proved(make: type, tick: int) -> None:
    system = make().system(tick)
    for name, one in tasks(system).items():
        if name in ("fed", "counts"):
            continue
        found = Spacer().run(one, Budget.of(10.0))
        assert isinstance(found, Invariant), name
        case = Case(system, one.target, one.question.anywhere)
        assert judge(case, found, LIMITS).ruling.sound, name


@pytest.mark.parametrize("part", range(PARTS))
def test_proofs_agree_with_every_state(part: int) -> None:
    """What holds is proved, but for what follows from the wiring alone and needs no search."""
    kinds: Counter[str] = Counter()
    for seed in range(FIRST + part, FIRST + SYSTEMS, PARTS):
        system, target = plant(seed)
        anywhere = seed % 4 == 3
        roots = [target, system.domain] if anywhere else [target]
        asked = question(target, system.pool, anywhere=anywhere)
        one = Task(cone(system, roots), asked, Asked.BAD, target, None, seed)
        found = Spacer().run(one, Budget.of(2.0))
        kinds[type(found).__name__] += 1
        first = earliest(system, target, anywhere=anywhere)
        match found:
            case Invariant():
                assert first is None, seed
                assert judge(Case(system, target, anywhere), found, LIMITS).ruling.sound, seed
            case Stopped(Why.NOTHING):
                assert first is not None, seed
            case Stopped(Why.SOLVER | Why.NOT_SUITED):
                assert isinstance(Structural().run(one, Budget.of(2.0)), Invariant), seed
            case _:
                pass
    assert kinds["Invariant"]
    assert kinds["Stopped"]


def test_the_same_effort_comes_as_far() -> None:
    """The solver's own steps are the measure, so a stop for want of them is the same each time."""
    known = MAKERS[2]()
    one = task(known.system, known.target)
    found = [Spacer().run(one, Budget.of(0.004, patience=1000.0)) for _ in range(2)]
    assert found[0] == found[1]
    assert isinstance(found[0], Stopped)
    assert found[0].why is Why.TIME
