"""`latchwork page`: one file, whole or not at all, and never in place of a design."""

import os
from pathlib import Path

import pytest

from tests.cli.call import GOOD, HOLDS, call, write

TWO = f"{HOLDS}\ndesign other {{ bolt : lever  claim c: never bolt }}\n"


def test_a_page_is_written_and_told(tmp_path: Path) -> None:
    out = tmp_path / "page.html"
    ended = call("page", write(tmp_path, GOOD), "-o", str(out), "--claim", "again")
    assert (ended.exit_code, ended.output) == (0, f"{out}: lamp_post, 1 of 1 claim fails\n")
    text = out.read_text(encoding="utf-8")
    assert text.startswith("<!DOCTYPE html>")
    assert text.endswith("</html>\n")
    assert "How again comes to be broken" in text
    assert list(tmp_path.glob(".*")) == []


def test_the_same_call_writes_the_same_page(tmp_path: Path) -> None:
    design = write(tmp_path, HOLDS)
    pages = []
    for name in ("one.html", "two.html"):
        assert call("page", design, "-o", str(tmp_path / name), "--claim", "fed").exit_code == 0
        pages.append((tmp_path / name).read_text(encoding="utf-8"))
    assert pages[0] == pages[1]


@pytest.mark.parametrize("how", ["itself", "link", "hard link"])
def test_a_design_is_never_written_over(tmp_path: Path, how: str) -> None:
    design = write(tmp_path, GOOD)
    out = tmp_path / "page.html"
    if how == "link":
        out.symlink_to(design)
    elif how == "hard link":
        os.link(design, out)
    else:
        out = Path(design)
    ended = call("page", design, "-o", str(out))
    assert ended.exit_code == 2
    assert "is the design itself" in ended.output
    assert Path(design).read_text(encoding="utf-8") == GOOD


def test_with_several_designs_one_is_named(tmp_path: Path) -> None:
    design, out = write(tmp_path, TWO), tmp_path / "page.html"
    ended = call("page", design, "-o", str(out))
    assert ended.exit_code == 2
    assert "lamp_post, other" in ended.output
    assert not out.exists()
    assert call("page", design, "-o", str(out), "--design", "other").exit_code == 0
    assert "other: " in out.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("text", "more", "words"),
    [
        ("design broken { bolt : lver }", (), "lver"),
        (GOOD, ("--claim", "stay"), "stays"),
        (GOOD, ("--set", "nothing=3"), "nothing"),
        (GOOD, ("-o", "nowhere/page.html"), "cannot write"),
    ],
)
def test_what_is_wrong_is_told_and_nothing_is_written(
    tmp_path: Path, text: str, more: tuple[str, ...], words: str
) -> None:
    out = tmp_path / "page.html"
    ended = call("page", write(tmp_path, text), "-o", str(out), *more)
    assert ended.exit_code == 2
    assert words in ended.output
    assert not out.exists()
