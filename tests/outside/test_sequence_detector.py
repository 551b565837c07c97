"""Detectors of 1011 in a stream of bits: an exercise of the textbooks, from memory.

Z. Kohavi, "Switching and Finite Automata Theory", has such. With overlap the output is on whenever
the last four bits were 1011: 1011011 has it twice. Without, a bit counts for one finding only. The
form of E. F. Moore (1956) shows a bit later what that of G. H. Mealy (1955) shows at once. Each is
compared with a memory of the last bits.
"""

from tests.outside.desk import verdicts

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


def failing(after: str) -> dict[str, int | None]:
    """Return the claims that fail, and when at the earliest."""
    found = verdicts(DESIGN.replace("AFTER", after))
    assert all(one.holds or one.fails for one in found.values()), found
    return {name: one.earliest for name, one in found.items() if one.fails}


def test_with_overlap() -> None:
    """1011011: the second finding comes with the seventh bit."""
    assert failing("one") == {"apart": 6}


def test_without_overlap() -> None:
    assert failing("none") == {"overlapping": 6, "a_bit_later": 7, "twice": None}


def test_a_slip_is_found() -> None:
    """After 1011 another 11 is taken for 011."""
    assert failing("hundred_one")["overlapping"] == 4
