"""The limits in the documents are those in the code."""

import pytest

from tests.repo.tree import ROOT
from verifier.cli.run import MOST_PRESSES
from verifier.design.coerce import MOST_TICKS
from verifier.design.files import DEEPEST_USES, MOST_FILES
from verifier.design.maze import MOST_WAYS
from verifier.design.place import DEEPEST_KINDS, LONGEST_ROW, MOST_NAMES, MOST_VALUES
from verifier.design.scope import MOST_PIECES
from verifier.design.sentences import MOST_STEPS, MOST_TIMES
from verifier.design.widths import MOST_PAIRS
from verifier.report.diagnostics import MOST_TOLD
from verifier.syntax.mistakes import LARGEST_FILE, LONGEST_NAME, LONGEST_NUMBER

ROWS = {
    "a file": f"{LARGEST_FILE >> 20} MiB",
    "all files that a design uses": (
        f"{MOST_FILES}, and {DEEPEST_USES} that use each other in a row"
    ),
    "a number, written or reckoned": f"{LONGEST_NUMBER} digits",
    "a time": f"{MOST_TICKS} ticks",
    "a name": f"{LONGEST_NAME} letters",
    "kinds inside each other": f"{DEEPEST_KINDS}",
    "names in a design, rows, loops and parts unfolded": f"{MOST_NAMES}",
    "pieces of a design, loops and parts unfolded": f"{MOST_PIECES}",
    "places of a row, turns of a loop": f"{LONGEST_ROW}",
    "values of a count or a choice": f"{MOST_VALUES}",
    "pairs of values in the sums of amounts and counts": f"{MOST_PAIRS}",
    "walkers times the square of rooms and exits": f"{MOST_WAYS}",
    "steps of `only after`": f"{MOST_STEPS}",
    "messages told in one run": f"{MOST_TOLD}, errors first; the last line says how many there are",
    "presses of one run": f"{MOST_PRESSES}",
    "a list of presses": f"{LARGEST_FILE >> 20} MiB",
    "N in `at most N times in any D`": f"{MOST_TIMES}",
}


@pytest.mark.parametrize("what", sorted(ROWS))
def test_a_limit_is_told_as_it_is(what: str) -> None:
    text = (ROOT / "docs" / "limits.md").read_text(encoding="utf-8")
    assert f"| {what} | {ROWS[what]} |" in text
