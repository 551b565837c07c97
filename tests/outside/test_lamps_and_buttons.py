"""Lamps that each button turns over together with their neighbours.

A square of n by n lamps, all to be put out: the fewest presses are 1, 4, 5 for n = 1 to 3 (OEIS
A075462, from memory; 4 for n = 4 and 15 for n = 5 take long to prove). M. Anderson, T. Feil,
"Turning Lights Out with Linear Algebra", Mathematics Magazine 71(4), 1998 (from memory): all
patterns of 3 by 3 lamps can be put out, each in one way; of 4 by 4 one in 16, each in 16 ways. For
which single lamps that is so is worked out here by elimination modulo 2.
"""

import pytest

from tests.outside.desk import broken

# Which buttons are pressed is all that counts, neither order nor time.
BOARD = """
design board {
  free press[1..PLACES]: signal
LAMPS
CLAIMS
}
"""


def near(wide: int, place: int) -> list[int]:
    """Return the places that a button turns over, its own first."""
    y, x = divmod(place, wide)
    around = [(y, x), (y - 1, x), (y + 1, x), (y, x - 1), (y, x + 1)]
    return [y * wide + x for y, x in around if 0 <= y < wide and 0 <= x < wide]


def board(wide: int, claims: str, *, lit: bool) -> str:
    lamps = []
    for place in range(wide * wide):
        text = "yes" if lit else "no"
        for button in near(wide, place):
            text = f"({text}) != press[{button + 1}]"
        lamps.append(f"  let lamp[{place + 1}] = {text}")
    text = BOARD.replace("LAMPS", "\n".join(lamps)).replace("CLAIMS", claims)
    return text.replace("PLACES", str(wide * wide))


@pytest.mark.parametrize(("wide", "presses"), [(1, 1), (2, 4), (3, 5)])
def test_fewest_presses_that_put_out_all(wide: int, presses: int) -> None:
    claims = f"""
  claim can: possible none of lamp and at most {presses} of press
  claim fewer: possible none of lamp and at most {presses - 1} of press"""
    assert broken(board(wide, claims, lit=True)) == {"fewer"}


def basis(wide: int) -> list[int]:
    """Return independent patterns, as bits, that make up all that buttons can turn over."""
    found: list[int] = []
    for place in range(wide * wide):
        row = sum(1 << one for one in near(wide, place))
        for other in found:
            row = min(row, row ^ other)
        if row:
            found = sorted([*found, row], reverse=True)
    return found


def can_be_put_out(pattern: int, patterns: list[int]) -> bool:
    for one in patterns:
        pattern = min(pattern, pattern ^ one)
    return pattern == 0


@pytest.mark.parametrize(("wide", "lost"), [(2, 0), (3, 0), (4, 4)])
def test_buttons_that_together_change_nothing(wide: int, lost: int) -> None:
    assert len(basis(wide)) == wide * wide - lost
    claim = "  claim nothing: possible none of lamp and any of press"
    assert broken(board(wide, claim, lit=False)) == (set() if lost else {"nothing"})


def test_which_single_lamps_can_be_put_out() -> None:
    """Turning on a single lamp of a dark board is the same as putting it out."""
    patterns, places = basis(4), range(4)
    lost = {f"at_{place}" for place in places if not can_be_put_out(1 << place, patterns)}
    assert lost
    claims = "\n".join(
        f"  claim at_{place}: possible exactly 1 of lamp and lamp[{place + 1}]" for place in places
    )
    assert broken(board(4, claims, lit=False)) == lost
