"""What retuning finds, against a grid of single answers; and its regions, setting by setting."""

import os
import random

import pytest

from tests.tuning.make import claims_of, grid, holds, random_design, rig_of
from verifier.tuning.dials import Setting, stand
from verifier.tuning.retune import Aim, Goal, Search
from verifier.verdict.answer import Verdict

FIRST = int(os.environ.get("LATCHWORK_FIRST_SEED", "0"))
SEEDS = range(FIRST, FIRST + int(os.environ.get("LATCHWORK_SETTINGS", "2")))
GOALS = (Goal(Aim.LEAST, 0), Goal(Aim.MOST, 1))


def cost(goal: Goal, at: Setting) -> int:
    return at[goal.dial] if goal.aim is Aim.LEAST else -at[goal.dial]


@pytest.mark.parametrize("seed", SEEDS)
def test_as_good_as_the_best_of_the_grid(seed: int) -> None:
    rig = rig_of(random_design(seed, most=5))
    claims = claims_of(rig, stand(rig.dials))
    serving = [at for at in grid(rig) if holds(rig, at, claims)]
    for goal in GOALS:
        again = rig.with_effort(rig.effort)
        with Search(again, 500) as search:
            found = search.find(claims, goal)
        assert found.closed
        assert not found.unsure
        if found.at is None:
            assert not serving
            assert "z3" in search.none_by(claims)
        else:
            assert holds(rig, found.at, claims)
            assert cost(goal, found.at) == min(cost(goal, at) for at in serving)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_setting_of_a_region_fails(seed: int) -> None:
    rig = rig_of(random_design(seed, most=12))
    claims = claims_of(rig, stand(rig.dials))
    with Search(rig, 60) as search:
        search.find(claims, Goal(Aim.MOST, 0))
    assert search.dropped == 0
    again, dice = rig.with_effort(rig.effort), random.Random(seed)
    for claim, regions in search.regions.items():
        for one in regions[:2]:
            inside = [at for at in grid(rig) if one.holds(at)]
            assert one.at in inside
            for at in dice.sample(inside, min(4, len(inside))):
                if claim:
                    assert again.decide(at, claim).verdict is Verdict.FAILS, (seed, claim, at)
                else:
                    assert again.system(at) is None
