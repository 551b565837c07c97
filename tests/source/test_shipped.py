"""Files that ship with the package are found in the repository."""

import pytest

from tests.repo.tree import ROOT
from verifier.source.shipped import shipped_text


@pytest.mark.parametrize("name", ["design.lark", "parts.latch"])
def test_shipped_files(name: str) -> None:
    assert shipped_text(name) == (ROOT / "grammar" / name).read_text(encoding="utf-8")


def test_an_incomplete_installation_is_told() -> None:
    with pytest.raises(FileNotFoundError, match=r"no\.latch"):
        shipped_text("no.latch")
