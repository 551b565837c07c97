"""What flows into a joint flows out of it: G. Kirchhoff, Annalen der Physik 64, 1845 (from memory).

Units of supply are shared by dividers, taken by taps and joined by busbars; none may get lost or be
made, whatever the supply gives. So where the joints are set for it, the least supply that serves is
the sum of what all need, however they are wired.
"""

import pytest

from tests.outside.desk import broken
from tests.tuning.test_units import least

# The supply gives anything from 0 to 20: it follows three levers.
JOINTS = """
design joints {
  lever[1..3] : lever
  big    : supply(11, drops: 0)
  middle : supply(6, drops: 0)
  little : supply(3, drops: 0)
  all_in : busbar(ways: 3)
  aside  : tap(TAKES)
  shares : divider(ways: WAYS)
  again  : busbar(ways: WAYS)
  lever[1] -> big.told
  lever[2] -> middle.told
  lever[3] -> little.told
  big -> all_in.feed[1]
  middle -> all_in.feed[2]
  little -> all_in.feed[3]
  all_in -> aside
  aside.rest -> shares
  for i in 1..WAYS { shares.way[i] -> again.feed[i] }
  let given = (11 when lever[1] else 0) + (6 when lever[2] else 0) + (3 when lever[3] else 0)
  claim joined: always all_in.out = given
  claim parted: always aside.side + aside.rest = all_in.out
  claim shared: always again.out = aside.rest
  claim fair: always shares.way[1] - shares.way[WAYS] <= 1
  claim lost: always again.out + 1 = given
  claim comes: possible again.out = 20 - TAKES
}
"""


@pytest.mark.parametrize(("takes", "ways"), [(0, 1), (4, 3), (7, 2), (2, 4)])
def test_no_unit_is_lost_or_made(takes: int, ways: int) -> None:
    text = JOINTS.replace("TAKES", str(takes)).replace("WAYS", str(ways))
    assert broken(text) == {"lost"}


# The same lamps on a chain of taps and on a divider.
CHAIN = """
design chain {
  mains  : supply(SUPPLY)
  first  : tap(NEED_1)
  second : tap(NEED_2)
  one    : lamp(draw: NEED_1)
  two    : lamp(draw: NEED_2)
  three  : lamp(draw: NEED_3)
  mains -> first -> one
  first.rest -> second
  second.side -> two
  second.rest -> three
}
"""


def chain(needs: tuple[int, int, int], supply: int) -> str:
    text = CHAIN.replace("SUPPLY", str(supply))
    for number, need in enumerate(needs, start=1):
        text = text.replace(f"NEED_{number}", str(need))
    return text


@pytest.mark.parametrize("needs", [(1, 1, 1), (2, 3, 4), (5, 1, 3)])
def test_the_least_supply_is_the_sum_of_what_is_needed(needs: tuple[int, int, int]) -> None:
    found = least(chain(needs, sum(needs) + 3))
    assert (found.value, found.shown) == (sum(needs), True)
    # A tap that lets one unit more aside starves the last lamp.
    wider = chain(needs, sum(needs) + 3).replace(f"tap({needs[0]})", f"tap({needs[0] + 1})", 1)
    assert least(wider).value == sum(needs) + 1
