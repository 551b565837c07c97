"""Two ropes that each burn for an hour, but not evenly, measure 45 minutes: a common puzzle.

A rope that burns at both ends is gone in half the time that one end would take. Ends are lit at the
start or when a rope is gone, for nothing else can be seen. Which times can be measured is worked
out here by a search over what is left, and every quarter of an hour up to two hours is compared.
"""

from fractions import Fraction
from itertools import product

import pytest

from tests.outside.desk import quickest, verdicts

# What is left of each rope, in quarters of an hour at one end. All moments are whole quarters.
ROPES = """
design ropes {
  tick 15 min
  keep now: count 0 .. 9
  now becomes now + 1 when now < 9
  for i in 1..COUNT {
    free more[i]: count 0 .. 2
    keep left[i]: count 0 .. 4 = 4
    keep flames[i]: count 0 .. 2
    let lit[i] = 2 when flames[i] + more[i] > 2 else flames[i] + more[i]
    let gone[i] = left[i] = 0
    let goes_out[i] = gone[i] starts
    flames[i] becomes lit[i]
    left[i] becomes 0 when lit[i] >= left[i], left[i] - lit[i]
    assume never more[i] > 0 and now > 0 and not told
  }
  let told = any of goes_out
CLAIMS
}
"""

LAST = {1: 4, 2: 8}  # so many quarters as the ropes burn at one end each


def measurable(count: int) -> set[Fraction]:
    """Return when some rope can be made to be gone, in quarters of an hour."""
    start = (Fraction(0), ((Fraction(4), 0),) * count)
    found: set[Fraction] = set()
    seen, stack = {start}, [start]
    while stack:
        now, ropes = stack.pop()
        for lit in product(*(range(ends, 3) for _, ends in ropes)):
            burns = [left / ends for (left, _), ends in zip(ropes, lit, strict=True) if ends]
            over = min((time for time in burns if time), default=None)
            if over is None:
                continue
            after = tuple(
                (left - over * ends if ends else left, ends)
                for (left, _), ends in zip(ropes, lit, strict=True)
            )
            later = (now + over, tuple((max(left, Fraction(0)), ends) for left, ends in after))
            if later not in seen:
                seen.add(later)
                found.add(later[0])
                stack.append(later)
    return found


@pytest.mark.parametrize("count", [1, 2])
def test_times_that_ropes_can_measure(count: int) -> None:
    expected = {int(time) for time in measurable(count)}
    assert (3 in expected) is (count == 2)
    times = range(1, LAST[count] + 1)
    claims = [f"  claim at_{at}: possible told and now = {at}" for at in times]
    text = ROPES.replace("COUNT", str(count)).replace("CLAIMS", "\n".join(claims))
    found = verdicts(text)
    assert {at for at in times if found[f"at_{at}"].holds} == expected
    assert {at for at in times if not found[f"at_{at}"].fails} == expected


def test_forty_five_minutes_take_three_ends_at_the_start() -> None:
    text = ROPES.replace("COUNT", "2").replace("CLAIMS", "  let three = told and now = 3")
    found = quickest(text, "three")
    assert found.route is not None
    first = [(made.tick, made.move.to) for made in found.route.deeds.moves]
    assert sorted(to for tick, to in first if tick == 0) == [1, 2]
    assert [tick for tick, _ in first if tick > 0] == [2]
