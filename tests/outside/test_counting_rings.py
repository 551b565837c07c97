"""Counters of the textbooks, by their periods: M. M. Mano, "Digital Design" (from memory).

A ring counter of n flip-flops has n states, a switch-tail (Johnson) counter 2 n, a Gray code of n
bits 2^n with one change a step (F. Gray, US patent 2,632,058, 1953), a decade 10; shift registers
with taps 3 2, 4 3, 7 6 go through 7, 15 and 127 (standard tap tables).
"""

import pytest

from tests.outside.desk import broken, loop, rhythm

RING = """
design ring {
  keep s[1..STAGES]: flag
  keep begun: flag
  begun becomes yes
  s[1] becomes FEED
  for i in 2..STAGES { s[i] becomes s[i - 1] }
  claim one: after begun: always exactly 1 of s
}
"""


def period(feed: str, stages: int) -> int:
    text = RING.replace("FEED", feed).replace("STAGES", str(stages))
    return loop(rhythm(text))[1]


@pytest.mark.parametrize("stages", [2, 3, 5, 8])
def test_a_ring_has_as_many_states_as_stages(stages: int) -> None:
    feed = f"s[{stages}] or not begun"
    assert period(feed, stages) == stages
    text = RING.replace("STAGES", str(stages))
    assert broken(text.replace("FEED", feed)) == set()
    # One that starts itself: fed while all but the last are dead.
    upper = ", ".join(f"s[{stage}]" for stage in range(1, stages))
    assert period(f"none of ({upper})", stages) == stages
    assert broken(text.replace("FEED", f"not s[{stages}]")) == {"one"}


@pytest.mark.parametrize("stages", [2, 3, 5, 8])
def test_switched_tail_has_twice_as_many(stages: int) -> None:
    assert period(f"not s[{stages}]", stages) == 2 * stages


@pytest.mark.parametrize(
    ("taps", "steps"), [((3, 2), 7), ((4, 3), 15), ((7, 6), 127), ((4, 2), 6), ((7, 5), 93)]
)
def test_registers_with_taps(taps: tuple[int, int], steps: int) -> None:
    """The last two have taps that no table names: they fall short of 15 and of 127."""
    assert period(f"s[{taps[0]}] != s[{taps[1]}] or not begun", taps[0]) == steps


# Bit i of Gray's code is on where bits i and i + 1 of the number differ.
GRAY = """
design gray {
  keep b[1..4]: flag
  let upto[1] = yes
  b[1] becomes not b[1]
  for i in 2..4 {
    let upto[i] = upto[i - 1] and b[i - 1]
    b[i] becomes not b[i] when upto[i]
  }
  for i in 1..3 { let g[i] = b[i] != b[i + 1] }
  let g[4] = b[4]
  for i in 1..4 {
    keep was_g[i]: flag
    keep was_b[i]: flag
    was_g[i] becomes g[i]
    was_b[i] becomes b[i]
    let turned_g[i] = g[i] != was_g[i]
    let turned_b[i] = b[i] != was_b[i]
  }
  keep begun: flag
  begun becomes yes
  claim one_at_a_time: after begun: always exactly 1 of turned_g
  claim plain_binary: after begun: always exactly 1 of turned_b
}
"""

DECADE = """
design decade {
  clock  : flasher(lit: 1 tick, dark: 1 tick)
  digit  : counter(limit: LIMIT, most: 15)
  tens   : counter(limit: 9)
  mains  : supply(2)
  mains -> clock
  clock -> digit.up
  digit.reset when digit.full
  tens.up when digit.full
  tens.reset when tens.value = 9 and digit.full
  claim digits: always digit.value <= 9 or digit.full
}
"""


def test_one_bit_of_grays_code_turns_at_a_step() -> None:
    assert broken(GRAY) == {"plain_binary"}
    assert loop(rhythm(GRAY))[1] == 16


def test_a_decade_divides_by_ten() -> None:
    """Each count is two ticks of the clock; the tens need ten digits each."""
    assert loop(rhythm(DECADE.replace("LIMIT", "10")))[1] == 200
    assert loop(rhythm(DECADE.replace("LIMIT", "12")))[1] == 240
    assert broken(DECADE.replace("LIMIT", "10")) == set()
    assert broken(DECADE.replace("LIMIT", "12")) == {"digits"}
