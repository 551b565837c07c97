"""A slice of the comparison by seed, the finds of longer runs, and what the strategy covers."""

from pathlib import Path

import pytest
from rich.console import Console

from tests.oracles.__main__ import main
from tests.oracles.compare import ORACLES, Disagreement, Tally, compare
from tests.oracles.drawn import look
from tests.strategies.estates import HOME

DESIGNS = 25
SLICES = 4
FINDS = sorted(HOME.parent.glob("*.latch"))


@pytest.mark.parametrize("chunk", range(SLICES))
def test_no_oracle_denies_an_answer(chunk: int) -> None:
    tally = Tally()
    found = look(0, chunk, DESIGNS, tally, effort=0.3)
    assert found is None, found
    for name in ORACLES:
        assert tally.oracles[name]["agreed"] > DESIGNS
    said = tally.claims
    assert min(said["holds"], said["fails"]) > DESIGNS // 2
    assert said["unknown"] * 10 < said["holds"]


@pytest.mark.parametrize("path", FINDS, ids=lambda path: path.stem)
def test_what_was_found_once_stays_mended(path: Path) -> None:
    tally = Tally()
    compare(path.read_text(encoding="utf-8"), tally)
    assert all(tally.oracles[name]["agreed"] for name in ("networkx", "dd"))


def test_the_command_tells_what_was_compared(tmp_path: Path) -> None:
    console = Console(record=True, width=120)
    assert main(["--designs", "2", "--seed", "5", "--into", str(tmp_path)], console) == 0
    said = console.export_text()
    assert "seed 5" in said
    assert all(name in said for name in ORACLES)
    assert not list(tmp_path.iterdir())
