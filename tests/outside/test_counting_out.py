"""Counting out in a ring: Flavius Josephus; every second or third leaves until one is left.

The last of n, with every second out, is 2 l + 1 for n = 2^m + l (W. W. Rouse Ball, "Mathematical
Recreations and Essays"; from memory): of 10 the fifth, of 41 the nineteenth. With every third of 41
it is the thirty-first, and the last but one is the sixteenth.
"""

import pytest

from tests.outside.desk import broken

# The finger points at one place a tick, and counts those who are still there.
RING = """
design ring {
  for i in 1..PEOPLE { keep here[i]: flag = yes }
  keep finger: count 1 .. PEOPLE = 1
  keep counted: count 1 .. EVERY = 1
  finger becomes 1 when finger = PEOPLE, finger + 1
  for i in 1..PEOPLE {
    let shown[i] = finger = i and here[i]
    here[i] becomes no when shown[i] and counted = EVERY
  }
  let anyone = any of shown
  counted becomes 1 when anyone and counted = EVERY, counted + 1 when anyone
  claim last: exactly LEFT of here leads to WANTED within 0 s
  claim other: exactly LEFT of here leads to OTHER within 0 s
  claim comes_to_it: eventually exactly LEFT of here
}
"""


def ring(people: int, every: int, last: tuple[int, ...], other: tuple[int, ...]) -> str:
    wanted, wrong = (" and ".join(f"here[{place}]" for place in places) for places in (last, other))
    text = RING.replace("LEFT", str(len(last))).replace("EVERY", str(every))
    return text.replace("PEOPLE", str(people)).replace("WANTED", wanted).replace("OTHER", wrong)


@pytest.mark.parametrize(
    ("people", "every", "last"),
    [
        (10, 2, (5,)),
        (41, 2, (19,)),
        (41, 3, (16, 31)),
    ],
)
def test_who_is_left(people: int, every: int, last: tuple[int, ...]) -> None:
    if len(last) == 1 and every == 2:
        assert last[0] == 2 * (people - 2 ** (people.bit_length() - 1)) + 1
    others = tuple(place % people + 1 for place in last)
    assert broken(ring(people, every, last, others)) == {"other"}
