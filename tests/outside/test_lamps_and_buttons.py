"""Lamps that each button turns over with its neighbours, and lockers that a hundred people turn over.

Square of n by n lamps, all to be put out: the fewest presses are 1, 4, 5, 4, 15 for n = 1 to 5 (OEIS
A075462, from memory); M. Anderson, T. Feil, "Turning Lights Out with Linear Algebra", Mathematics
Magazine 71(4), 1998: of 5 by 5 only every fourth pattern can be put out at all, none with a single
lamp. Lockers (common puzzle): person k turns over each kth; left open are the squares.
"""

import pytest

from tests.outside.desk import broken, verdicts

# Which buttons are pressed is all that counts, neither order nor time.
BOARD = """
design board {
  free press[1..PLACES]: signal
LAMPS
  let presses = PRESSES
  claim can: possible none of lamp and presses <= LIMIT
  claim fewer: possible none of lamp and presses < LIMIT
}
"""


def board(wide: int, lit: set[int], limit: int) -> str:
    lamps = []
    for place in range(wide * wide):
        y, x = divmod(place, wide)
        near = [
            (y + dy) * wide + x + dx + 1
            for dy, dx in ((0, 0), (-1, 0), (1, 0), (0, -1), (0, 1))
            if 0 <= y + dy < wide and 0 <= x + dx < wide
        ]
        text = "yes" if place + 1 in lit else "no"
        for button in near:
            text = f"({text}) != press[{button}]"
        lamps.append(f"  let lamp[{place + 1}] = {text}")
    count = " + ".join(f"(1 when press[{place + 1}] else 0)" for place in range(wide * wide))
    text = BOARD.replace("LAMPS", "\n".join(lamps)).replace("PRESSES", count)
    return text.replace("PLACES", str(wide * wide)).replace("LIMIT", str(limit))


@pytest.mark.parametrize(("wide", "presses"), [(1, 1), (2, 4), (3, 5), (4, 4), (5, 15)])
def test_fewest_presses_that_put_out_all(wide: int, presses: int) -> None:
    everything = set(range(1, wide * wide + 1))
    assert broken(board(wide, everything, presses)) == {"fewer"}


@pytest.mark.parametrize(("lit", "can"), [({13}, False), ({12, 14}, False), ({3, 13, 23}, None)])
def test_some_patterns_can_not_be_put_out(lit: set[int], can: bool | None) -> None:
    found = verdicts(board(5, lit, 25))["can"]
    print(lit, found.holds)
