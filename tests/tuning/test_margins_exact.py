"""The ends of margins, to the tick, against every single value asked by itself."""

import os

import pytest

from tests.tuning.make import claims_of, holds, random_design, rig_of
from verifier.tuning.dials import Setting, stand
from verifier.tuning.dials_rig import Rig, moved
from verifier.tuning.margins import Side, margins
from verifier.verdict.answer import Verdict

FIRST = int(os.environ.get("LATCHWORK_FIRST_SEED", "0"))
SEEDS = range(FIRST, FIRST + int(os.environ.get("LATCHWORK_SETTINGS", "2")))


def last(rig: Rig, at: Setting, place: int, step: int, claims: list[str]) -> int:
    """Return the last value, tick by tick, up to which all claims hold."""
    dial, value = rig.dials[place], at[place]
    while dial.low <= value + step <= dial.high:
        if not holds(rig, moved(at, place, value + step), claims):
            break
        value += step
    return value


def ends_fit(rig: Rig, at: Setting, place: int, side: Side) -> None:
    """An edge stands at the very next tick, and its claim fails there when asked by itself."""
    if side.edge is None:
        assert side.last in {rig.dials[place].low, rig.dials[place].high}
        return
    assert abs(side.edge.at - side.last) == 1
    assert side.edge.outcome.verdict is Verdict.FAILS
    there = moved(at, place, side.edge.at)
    assert rig.decide(there, side.edge.claim).verdict is Verdict.FAILS


@pytest.mark.parametrize("seed", SEEDS)
def test_ends_are_exact(seed: int) -> None:
    rig = rig_of(random_design(seed, most=9))
    at = stand(rig.dials)
    found = margins(rig, claims_of(rig, at), 200)
    again = rig.with_effort(rig.effort)
    kept = list(found.claims)
    for room in found.rooms:
        for step, side in ((-1, room.low), (1, room.high)):
            assert side.last == last(again, at, room.place, step, kept), (seed, room)
            ends_fit(again, at, room.place, side)
