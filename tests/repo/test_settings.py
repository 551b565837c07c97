"""Whatever is switched off says why."""

import re
import tokenize
from pathlib import Path

import pytest

from tests.repo.tree import ROOT, python_files, where

SETTINGS = ROOT / "pyproject.toml"

# A rule in a list of ignores, and the rest of its line.
IGNORED = re.compile(r'^\s*"[A-Z]+\d+",(?P<why>.*)$', re.MULTILINE)

# A comment that silences a check, and the rest of its line.
SILENCES = re.compile(
    r"#\s*((?:ruff:\s*)?noqa|type:\s*ignore|pragma|mypy)"
    r"(:?\s*(\[[\w, -]*\]|[A-Z]+\d+(,\s*[A-Z]+\d+)*))?(?P<why>.*)$"
)
REASON = re.compile(r"\s*[-#:(]+\s*\S.{2,}")


def comments(path: Path) -> list[tuple[int, str]]:
    with path.open("rb") as file:
        tokens = list(tokenize.tokenize(file.readline))
    return [(one.start[0], one.string) for one in tokens if one.type == tokenize.COMMENT]


def lacks_reason(comment: str) -> bool:
    silences = SILENCES.search(comment)
    return silences is not None and REASON.match(silences["why"]) is None


def test_each_ignored_rule_has_a_reason() -> None:
    found = list(IGNORED.finditer(SETTINGS.read_text(encoding="utf-8")))
    assert found
    assert not [one[0] for one in found if not REASON.match(one["why"])]


def test_each_silenced_line_has_a_reason() -> None:
    found = [
        where(path, line)
        for path in python_files(ROOT / "verifier", ROOT / "tests")
        for line, comment in comments(path)
        if lacks_reason(comment)
    ]
    assert not found


@pytest.mark.parametrize(
    "comment",
    ["# noqa", "# noqa: C901", "# noqa: C901, PLR0915", "# type: ignore[attr-defined]", "# noqa x"],
)
def test_a_lacking_reason_is_seen(comment: str) -> None:
    assert lacks_reason(comment)


@pytest.mark.parametrize(
    "comment",
    [
        "# noqa: C901 - one case a node",
        "# type: ignore[misc] # has no types",
        "# ruff: noqa: RUF001  (letters)",
        "# the noun",
    ],
)
def test_a_reason_is_seen(comment: str) -> None:
    assert not lacks_reason(comment)
