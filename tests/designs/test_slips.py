"""Slips that the heads of the demo designs speak of, and others, are found."""

import pytest

from tests.designs.notes import FOLDER
from tests.outside.desk import verdicts

SLIPS = (
    ("fountain", "takes 1 s .. 2 s", "takes 1 s .. 2100 ms", "dry", False),
    ("fountain", "rail  : pulse(1 s)", "rail  : pulse(1100 ms)", "dry", False),
    ("fountain", "rail  : pulse(1 s)", "rail  : pulse(900 ms)", "dry", True),
    ("tap_chain_mended", "sun.light or dusk.pulled", "sun.light", "pumps", False),
    ("hedge_gates", "pause = 4 s", "pause = 3800 ms", "apart", True),
    ("hedge_gates", "pause = 4 s", "pause = 3700 ms", "apart", False),
    ("vestibule", "  tick 100 ms", "  tick 100 ms\n  one press at a time", "apart", False),
    ("vestibule_mended", " and not ask_out", "", "apart", False),
    ("vestibule_mended", " and not open_in.on", "", "apart", False),
    ("stairway", "fresh : pulse(30 s, again: yes)", "fresh : pulse(30 s)", "fresh_serves", False),
    ("hour_bell", "counter(limit: 3)", "counter(limit: 4)", "three", False),
    ("lever_vault", "alone[3] and not got[2]", "alone[3] and not got[1]", "earned", False),
    ("trapdoor", "on_delay(1500 ms)", "on_delay(1 s)", "not_sooner", False),
)


@pytest.mark.parametrize(("name", "was", "becomes", "claim", "holds"), SLIPS)
def test_a_slip_shows(name: str, was: str, becomes: str, claim: str, *, holds: bool) -> None:
    text = (FOLDER / f"{name}.latch").read_text(encoding="utf-8")
    assert was in text
    start = text.index(f"  claim {claim}")
    line = text[start : text.index("\n", start)]
    body = text[: text.index("  claim ")].replace(was, becomes)
    found = verdicts(f"{body}{line}\n}}\n", all_fed=False)[claim]
    assert found.holds is holds
    assert found.fails is not holds
