"""The table of what was checked against the outside names what is there, and how it is known."""

import re

import pytest

from tests.repo.tree import ROOT

OUTSIDE = ROOT / "tests" / "outside"
ROW = re.compile(r"^\| `(?P<file>[^`]+)` \|(?P<rest>.*)\|$", re.MULTILINE)
ROWS = {
    row["file"]: [cell.strip() for cell in row["rest"].split("|")]
    for row in ROW.finditer((ROOT / "docs" / "outside.md").read_text(encoding="utf-8"))
}
HELPERS = {"desk.py", "bdd.py"}

# How a value may be known besides being computed, and the words of a file that say so.
SIGNS = {
    "seen": re.compile(r"\bread\b", re.IGNORECASE),
    "from memory": re.compile(r"\bfrom\s+memory\b", re.IGNORECASE),
    "common practice": re.compile(r"\bcommon practice\b", re.IGNORECASE),
}


def test_the_table_names_every_file_and_no_other() -> None:
    paths = [*OUTSIDE.glob("*.py"), *OUTSIDE.glob("*/test_*.py"), *OUTSIDE.glob("*/*.latch")]
    files = {path.relative_to(OUTSIDE).as_posix() for path in paths}
    assert set(ROWS) == files - HELPERS


@pytest.mark.parametrize("file", sorted(ROWS))
def test_a_row_tells_source_and_how_it_is_known(file: str) -> None:
    what, source, known, verdict, since = ROWS[file]
    assert what
    assert source or file == "test_puzzles.py"
    assert set(known.split(", ")) <= {*SIGNS, "computed"}
    assert verdict.startswith("agrees")
    assert re.fullmatch(r"2\d{3}-\d\d-\d\d", since)


@pytest.mark.parametrize("file", sorted(name for name in ROWS if name.endswith(".py")))
def test_a_file_says_what_its_row_says(file: str) -> None:
    text = (OUTSIDE / file).read_text(encoding="utf-8")
    known = {one for one in ROWS[file][2].split(", ") if one in SIGNS}
    assert {one for one in known if not SIGNS[one].search(text)} == set()
    assert ("from memory" in known) is bool(SIGNS["from memory"].search(text))
