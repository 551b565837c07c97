"""Flip-flops by their equations: M. M. Mano, "Digital Design" (from memory).

JK: Q+ = J Q' + K' Q. T: Q+ = T xor Q. D: Q+ = D. SR: Q+ = S + R' Q, with S R = 0. Each is made of
standard parts and compared with its equation. A flip-flop that toggles at each edge of the one
before halves the rate, so n of them divide by 2^n.
"""

import pytest

from tests.outside.desk import broken, loop, rhythm, verdicts

DESIGN = """
design flip_flop {
  free x: signal
  free y: signal
  part : PART
  WIRES
  keep q: flag
  q becomes EQUATION
  claim same: always part = q
  claim on: possible part within 1 s
}
"""

# Parts, what drives them, and the equation. JK is a latch that looks at itself.
KINDS = {
    "jk": (
        "latch(wins: set)",
        "part.set when x and not part\n  part.reset when y and part",
        "x and not q or not y and q",
    ),
    "t": ("latch", "part.set when x and not part\n  part.reset when x and part", "x != q"),
    "d": ("relay", "part.coil when x", "x"),
    "sr": (
        "latch(wins: reset)",
        "part.set when x\n  part.reset when y\n  assume never x and y",
        "x or not y and q",
    ),
}


def text_of(kind: str, equation: str | None = None) -> str:
    part, wires, its_own = KINDS[kind]
    text = DESIGN.replace("PART", part).replace("WIRES", wires)
    if kind == "d":
        text = text.replace("always part = q", "always part.pulled = q")
        text = text.replace("possible part ", "possible part.pulled ")
    return text.replace("EQUATION", equation or its_own)


@pytest.mark.parametrize("kind", KINDS)
def test_part_keeps_its_equation(kind: str) -> None:
    assert broken(text_of(kind)) == set()


@pytest.mark.parametrize(
    ("kind", "equation", "tick"),
    [
        ("jk", KINDS["sr"][2], 2),  # both pressed: JK turns over, SR stays on
        ("jk", KINDS["t"][2], 2),  # J goes on: JK stays on, T turns over
        ("t", KINDS["d"][2], 2),
        ("d", KINDS["sr"][2], 2),
    ],
)
def test_another_equation_is_told_apart(kind: str, equation: str, tick: int) -> None:
    assert verdicts(text_of(kind, equation))["same"].earliest == tick


RIPPLE = """
design ripple {
  mains : supply(2)
  clock : flasher(lit: 10 ticks, dark: 10 ticks)
  mains -> clock
  stage[1..STAGES] : toggle
  clock -> stage[1].press
  for i in 2..STAGES { stage[i - 1] -> stage[i].press }
  let carry = stage[STAGES]
  claim half: carry lasts HALF ticks
}
"""


@pytest.mark.parametrize("stages", [1, 2, 3, 5])
def test_each_stage_halves_the_rate(stages: int) -> None:
    half = 20 * 2 ** (stages - 1)
    text = RIPPLE.replace("STAGES", str(stages))
    assert loop(rhythm(text.replace("HALF", str(half))))[1] == 2 * half
    assert broken(text.replace("HALF", str(half))) == set()
    assert broken(text.replace("HALF", str(half + 1))) == {"half"}
