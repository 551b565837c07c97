"""The limits in the documents are those in the code."""

import pytest

from tests.repo.tree import ROOT
from verifier.design.place import LONGEST_ROW, MOST_NAMES, MOST_VALUES
from verifier.design.sentences import MOST_TIMES
from verifier.syntax.mistakes import LARGEST_FILE, LONGEST_NAME, LONGEST_NUMBER

ROWS = {
    "a file": f"{LARGEST_FILE >> 20} MiB",
    "a number": f"{LONGEST_NUMBER} digits",
    "a name": f"{LONGEST_NAME} letters",
    "names in a design, rows, loops and parts unfolded": f"{MOST_NAMES}",
    "places of a row, turns of a loop": f"{LONGEST_ROW}",
    "values of a count": f"{MOST_VALUES}",
    "N in `at most N times in any D`": f"{MOST_TIMES}",
}


@pytest.mark.parametrize("what", sorted(ROWS))
def test_a_limit_is_told_as_it_is(what: str) -> None:
    text = (ROOT / "docs" / "limits.md").read_text(encoding="utf-8")
    assert f"| {what} | {ROWS[what]} |" in text
