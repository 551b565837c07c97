"""Cellular automata with known histories.

S. Wolfram, "Statistical Mechanics of Cellular Automata", Rev. Mod. Phys. 55, 1983: the middle
column of rule 30 is OEIS A051023, the cells alive in row n of rule 90 are OEIS A001316. J. H.
Conway's life, told by M. Gardner, Scientific American 223(4), 1970: a blinker has period 2, a block
stands still, a glider comes again after four steps, one place down and one across; on a torus of n
by n after 4 n. All from memory.
"""

import pytest

from tests.outside.desk import broken, loop, rhythm
from verifier.tuning.cycle import Loop

RULE_30 = "1101110011000101100100111010"  # A051023, from row 0 on
RULE_90 = (1, 2, 2, 4, 2, 4, 4, 8, 2, 4, 4, 8, 4, 8, 8, 16)  # A001316

# One row; what lies beyond its ends stays dead, and the row is long enough for that not to matter.
ROW = """
design row {
  keep step: count 0 .. LAST
  step becomes step + 1 when step < LAST
  for i in 1..CELLS { keep cell[i]: flag = STARTS }
  let left[1] = no
  let right[CELLS] = no
  for i in 2..CELLS {
    let left[i] = cell[i - 1]
    let right[i - 1] = cell[i]
  }
  for i in 1..CELLS { cell[i] becomes RULE }
CLAIM
}
"""


def row(rule: str, steps: int, claim: str) -> str:
    cells = 2 * steps + 1
    text = ROW.replace("RULE", rule).replace("STARTS", f"i = {steps + 1}").replace("CLAIM", claim)
    return text.replace("CELLS", str(cells)).replace("LAST", str(steps))


def test_the_middle_column_of_rule_30() -> None:
    steps = len(RULE_30) - 1
    live = " or ".join(f"step = {at}" for at, mark in enumerate(RULE_30) if mark == "1")
    middle = f"cell[{steps + 1}]"
    until = f"while step < {steps}: always {middle}"
    rule = "left[i] != (cell[i] or right[i])"
    claims = f"  claim known: {until} = ({live})\n  claim slip: {until} = ({live} or step = 6)"
    assert broken(row(rule, steps, claims)) == {"slip"}
    # Rule 120, with `and` in place of `or`, does not.
    assert broken(row("left[i] != (cell[i] and right[i])", steps, claims)) == {"known", "slip"}


def test_how_many_cells_live_in_rows_of_rule_90() -> None:
    steps = len(RULE_90)
    wanted = " or ".join(
        f"step = {at} and exactly {count} of cell" for at, count in enumerate(RULE_90)
    )
    claims = f"  claim known: while step < {steps}: always {wanted}"
    assert broken(row("left[i] != right[i]", steps, claims)) == set()
    assert broken(row("left[i] or right[i]", steps, claims)) == {"known"}


def life(wide: int, alive: set[tuple[int, int]], claim: str = "") -> str:
    """Return a torus with its cells numbered by rows."""
    lines = ["design torus {"]
    for place in range(wide * wide):
        y, x = divmod(place, wide)
        near = [
            f"cell[{(y + dy) % wide * wide + (x + dx) % wide + 1}]"
            for dy in (-1, 0, 1)
            for dx in (-1, 0, 1)
            if dx or dy
        ]
        around = f"({', '.join(near)})"
        starts = "yes" if (y, x) in alive else "no"
        own = f"cell[{place + 1}]"
        lines += [
            f"  keep {own}: flag = {starts}",
            f"  {own} becomes exactly 3 of {around} or {own} and exactly 2 of {around}",
        ]
    return "\n".join([*lines, claim, "}\n"])


GLIDER = {(0, 1), (1, 2), (2, 0), (2, 1), (2, 2)}


@pytest.mark.parametrize("wide", [5, 6])
def test_a_glider_goes_round_the_torus(wide: int) -> None:
    assert loop(rhythm(life(wide, GLIDER))) == (0, 4 * wide)


def test_a_glider_is_shifted_after_four_steps() -> None:
    """In four ticks cell 2 (row 0, place 1) hands on to the one below and to the right of it."""
    moved = {(y + 1, x + 1) for y, x in GLIDER}
    wide = 5
    here = ", ".join(f"cell[{y * wide + x + 1}]" for y, x in sorted(GLIDER))
    there = ", ".join(f"cell[{y * wide + x + 1}]" for y, x in sorted(moved))
    claim = f"  claim shifted: all of ({here}) leads to all of ({there}) within 4 ticks\n"
    claim += f"  claim sooner: all of ({here}) leads to all of ({there}) within 3 ticks"
    assert broken(life(wide, GLIDER, claim)) == {"sooner"}


def test_blinker_and_block() -> None:
    assert loop(rhythm(life(5, {(2, 1), (2, 2), (2, 3)}))) == (0, 2)
    block = rhythm(life(5, {(1, 1), (1, 2), (2, 1), (2, 2)})).loop
    assert isinstance(block, Loop)
    assert (block.settles, block.period) == (0, None)
