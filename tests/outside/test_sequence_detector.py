"""Detectors of 1011 in a stream of bits: an exercise of the textbooks, from memory.

Z. Kohavi, "Switching and Finite Automata Theory", has such. With overlap the output is on whenever
the last four bits were 1011: 1011011 has it twice. Without, a bit counts for one finding only. The
form of E. F. Moore (1956) shows a bit later what that of G. H. Mealy (1955) shows at once. Each is
compared with a memory of the last bits.
"""

import pytest

from tests.outside.desk import broken, verdicts

DESIGN = """
design detector {
  free bit: signal
  keep at: one of (none, one, ten, hundred_one)
  at becomes
    one when at is none and bit,
    ten when at is one and not bit,
    hundred_one when at is ten and bit,
    none when at is ten,
    AFTER when at is hundred_one and bit,
    ten when at is hundred_one
  let found = at is hundred_one and bit
  keep moore: flag
  moore becomes found

  keep last[1..4]: flag
  last[1] becomes bit
  for i in 2..4 { last[i] becomes last[i - 1] }
  let seen = last[3] and not last[2] and last[1] and bit
  let seen_later = last[4] and not last[3] and last[2] and last[1]
  # The same with each bit counted once: none within the three after a finding.
  keep rests: count 0 .. 3
  let seen_apart = seen and rests = 0
  rests becomes 3 when seen_apart, rests - 1 when rests > 0
  claim overlapping: never found != seen
  claim apart: never found != seen_apart
  claim a_bit_later: never moore != seen_later
  claim twice: possible found and rests > 0
}
"""


def test_with_overlap() -> None:
    text = DESIGN.replace("AFTER", "one")
    assert broken(text) == {"apart"}
    # 1011011: the second finding comes with the seventh bit.
    assert verdicts(text)["apart"].earliest == 6
    assert verdicts(text)["twice"].tick == 6


def test_without_overlap() -> None:
    assert broken(DESIGN.replace("AFTER", "none")) == {"overlapping", "a_bit_later", "twice"}


@pytest.mark.parametrize(("slip", "tick"), [("ten", 4), ("hundred_one", 4)])
def test_slips_are_found(slip: str, tick: int) -> None:
    found = verdicts(DESIGN.replace("AFTER", slip))
    assert found["overlapping"].fails
    assert found["apart"].fails
    assert found["overlapping"].earliest is not None
    assert found["overlapping"].earliest >= tick
