"""Mutual exclusion by waiting: safe exactly when the wait is longer than the write.

The algorithm is M. Fischer's, as told by L. Lamport, "A Fast Mutual Exclusion Algorithm", ACM
TOCS 5(1) 1987 (from memory): see the gate free, write your name within A, wait B, go in if your
name still stands. Beside the verifier a search of our own, over plain Python states, decides each
pair (A, B).
"""

from itertools import product

import pytest

from tests.outside.desk import verdicts

# One tick to see the gate free is part of the write: it ends 1 .. A ticks after the look.
DESIGN = """
kind visitor(write: time, wait: time) {
  in  gate_free: signal
  in  mine: signal
  free wants: signal
  free leaves: signal
  keep at: one of (away, writes, waits, inside)
  keep left: timer
  let looks = at is away and wants and gate_free
  let wrote = at is writes and left ends
  let waited = at is waits and left ends
  let goes = at is inside and leaves
  at becomes
    writes when looks,
    waits when wrote,
    inside when waited and mine,
    away when waited or goes
  left loads write when looks, wait when wrote
  let inside = at is inside
}

design gate {
  one : visitor(1 tick .. LONG ticks, WAIT ticks)
  two : visitor(1 tick .. LONG ticks, WAIT ticks)
  keep name: one of (nobody, first, second)
  name becomes
    second when two.wrote,
    first when one.wrote,
    nobody when one.goes or two.goes
  one.gate_free when name is nobody
  two.gate_free when name is nobody
  one.mine when name is first
  two.mine when name is second
  claim alone: never one.inside and two.inside
  claim gets_in: possible one.inside
}
"""


def meets(write: int, wait: int) -> bool:
    """Search all states for two visitors inside; a visitor is (place, ticks left), 0 is nobody."""
    start = (("away", 0), ("away", 0), 0)
    seen, stack = {start}, [start]
    while stack:
        one, two, name = stack.pop()
        if one[0] == two[0] == "inside":
            return True
        ways = product(steps(one, 1, name, write, wait), steps(two, 2, name, write, wait))
        for (new_one, says_one), (new_two, says_two) in ways:
            if says_two == 2:
                new_name = 2
            elif says_one == 1:
                new_name = 1
            elif 0 in {says_one, says_two}:
                new_name = 0
            else:
                new_name = name
            after = (new_one, new_two, new_name)
            if after not in seen:
                seen.add(after)
                stack.append(after)
    return False


Visitor = tuple[str, int]


def steps(
    who: Visitor, number: int, name: int, write: int, wait: int
) -> list[tuple[Visitor, int | None]]:
    """All next places, each with what is written on the gate in this tick (None: nothing)."""
    place, left = who
    match place:
        case "away":
            starts = [(("writes", ticks), None) for ticks in range(1, write + 1)]
            return [(who, None), *(starts if name == 0 else [])]
        case "inside":
            return [(who, None), (("away", 0), 0)]
        case _ if left > 1:
            return [((place, left - 1), None)]
        case "writes":
            return [(("waits", wait), number)]
        case _:
            return [(("inside" if name == number else "away", 0), None)]


@pytest.mark.parametrize(("write", "wait"), list(product(range(1, 4), range(1, 5))))
def test_safe_exactly_when_the_wait_is_longer(write: int, wait: int) -> None:
    assert meets(write, wait) is (wait <= write)
    found = verdicts(DESIGN.replace("LONG", str(write)).replace("WAIT", str(wait)))
    assert found["gets_in"].holds
    assert found["alone"].fails is meets(write, wait)
    assert found["alone"].holds is not found["alone"].fails
