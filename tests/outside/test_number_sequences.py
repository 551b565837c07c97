"""Circuits that count out known sequences: OEIS, from memory.

Halving or tripling (L. Collatz) brings 9 to 1 in 19 steps and 25 in 23 (A006577), by way of 52 and
of 88 (A025586). Whether a number has an odd number of ones is 0110100110010110 (A. Thue, M. Morse;
A010060), with no digit three times in a row. How far the carry of a binary counter goes is 1 2 1 3
1 2 1 4, the ruler (A001511).
"""

import pytest

from tests.outside.desk import broken

COLLATZ = """
design collatz {
  keep n: count 1 .. TOP = START
  n becomes 1 when n = 1, n div 2 when n mod 2 = 0, 3 * n + 1
  claim in_time: eventually n = 1 within STEPS ticks
  claim in_less: eventually n = 1 within STEPS ticks - 1 tick
  claim no_sooner: n = 1 no sooner than STEPS ticks
  claim still_later: n = 1 no sooner than STEPS ticks + 1 tick
  claim top: possible n = TOP
}
"""


@pytest.mark.parametrize(("start", "steps", "top"), [(9, 19, 52), (25, 23, 88)])
def test_halving_and_tripling(start: int, steps: int, top: int) -> None:
    text = COLLATZ.replace("START", str(start)).replace("TOP", str(top))
    assert broken(text.replace("STEPS", str(steps))) == {"in_less", "still_later"}


# Bits of a counter; parity is the sum of them modulo two, `carry` how far the carry goes next.
COUNTER = """
design counter_of_bits {
  keep b[1..BITS]: flag
  let upto[1] = yes
  b[1] becomes not b[1]
  for i in 2..BITS {
    let upto[i] = upto[i - 1] and b[i - 1]
    b[i] becomes not b[i] when upto[i]
  }
  keep at: count 0 .. LAST
  at becomes at + 1 when at < LAST
  let parity = PARITY
  claim thue_morse: while at < LAST: always parity = (THUE_MORSE)
  claim ruler: while at < LAST: always RULER
  keep was[1..3]: flag
  was[1] becomes parity
  was[2] becomes was[1]
  was[3] becomes was[2]
  claim no_three: while at > 2: never parity = was[1] and was[1] = was[2]
  claim no_two: while at > 2: never parity = was[1]
}
"""

THUE_MORSE = "0110100110010110"
RULER = (1, 2, 1, 3, 1, 2, 1, 4, 1, 2, 1, 3, 1, 2, 1)


def counter(parity: str) -> str:
    live = " or ".join(f"at = {at}" for at, mark in enumerate(THUE_MORSE) if mark == "1")
    ruler = " or ".join(f"at = {at} and exactly {n} of upto" for at, n in enumerate(RULER))
    text = COUNTER.replace("THUE_MORSE", live).replace("RULER", ruler).replace("PARITY", parity)
    return text.replace("BITS", "5").replace("LAST", str(len(RULER)))


def test_thue_morse_and_the_ruler() -> None:
    assert broken(counter("(((b[1] != b[2]) != b[3]) != b[4]) != b[5]")) == {"no_two"}


def test_a_parity_that_leaves_out_a_bit_is_found() -> None:
    assert "thue_morse" in broken(counter("((b[1] != b[2]) != b[3]) != b[5]"))
