"""Sand-glasses of 7 and 11 minutes measure 15 minutes at 15, those of 4 and 7 measure 9 at 9.

Common puzzle (values read). Glasses are turned at the start or when one runs out. Which other times
can be told so is worked out here by a search over sand left, and every one is compared.
"""

from itertools import product

import pytest

from tests.outside.desk import verdicts

LAST = 16

# Sand left, by the minute; turned, a glass runs on from what had fallen.
DESIGN = """
design glasses {
  tick 1 min
  free turned: one of (none, first, second, both)
  keep one: timer
  keep other: timer
  let turn_one = turned is first or turned is both
  let turn_other = turned is second or turned is both
  one loads ONE min - 1 min - one when turn_one
  other loads OTHER min - 1 min - other when turn_other
  keep now: count 0 .. 17
  now becomes now + 1 when now < 17
  let one_out = one = 0 s
  let other_out = other = 0 s
  let rings = now > 0 and (one_out starts or other_out starts)
  assume never turned is not none and now > 0 and not rings
CLAIMS
}
"""


def measurable(one: int, other: int) -> set[int]:
    """Return the minutes at which some glass can be made to run out."""
    found, seen = set(), {(0, 0, 0)}
    stack = [(0, 0, 0)]
    while stack:
        time, left, right = stack.pop()
        for turn_left, turn_right in product((False, True), repeat=2):
            here = one - left if turn_left else left
            there = other - right if turn_right else right
            running = [sand for sand in (here, there) if sand > 0]
            step = min(running, default=LAST + 1)
            after = (time + step, max(0, here - step), max(0, there - step))
            if after[0] <= LAST and after not in seen:
                seen.add(after)
                found.add(after[0])
                stack.append(after)
    return found


@pytest.mark.parametrize(("one", "other", "known"), [(7, 11, 15), (4, 7, 9)])
def test_times_that_can_be_told(one: int, other: int, known: int) -> None:
    expected = measurable(one, other)
    assert known in expected
    claims = [f"  claim at_{at}: possible rings and now = {at}" for at in range(1, LAST + 1)]
    text = DESIGN.replace("CLAIMS", "\n".join(claims))
    found = verdicts(text.replace("ONE", str(one)).replace("OTHER", str(other)))
    assert {at for at in range(1, LAST + 1) if found[f"at_{at}"].holds} == expected
    assert {at for at in range(1, LAST + 1) if not found[f"at_{at}"].fails} == expected
