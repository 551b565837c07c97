"""`latchwork tidy`: prints, looks, or writes whole or not at all."""

import os
import stat
from pathlib import Path

import pytest

from tests.cli.call import GOOD, call, write
from verifier.cli.files import write_whole

UNTIDY = "design d{hand:button\nclaim c:never hand}# end\n"
TIDY = "design d {\n  hand : button\n  claim c: never hand\n}  # end\n"


def test_it_prints_and_changes_nothing(tmp_path: Path) -> None:
    path = write(tmp_path, UNTIDY)
    found = call("tidy", path)
    assert (found.exit_code, found.stdout) == (0, TIDY)
    assert Path(path).read_text(encoding="utf-8") == UNTIDY


def test_it_writes_in_place_and_keeps_the_rights(tmp_path: Path) -> None:
    path = write(tmp_path, UNTIDY)
    Path(path).chmod(0o640)
    found = call("tidy", "--write", path)
    assert (found.exit_code, found.stdout) == (0, f"tidied: {path}\n")
    assert Path(path).read_text(encoding="utf-8") == TIDY
    assert stat.S_IMODE(Path(path).stat().st_mode) == 0o640
    assert [one.name for one in tmp_path.iterdir()] == ["garden.latch"]
    again = call("tidy", "--write", path)
    assert (again.exit_code, again.stdout) == (0, "")


def test_a_link_is_followed(tmp_path: Path) -> None:
    path = write(tmp_path, UNTIDY)
    link = tmp_path / "link.latch"
    link.symlink_to(path)
    assert call("tidy", "--write", str(link)).exit_code == 0
    assert link.is_symlink()
    assert Path(path).read_text(encoding="utf-8") == TIDY


def test_check_names_what_is_not_tidy(tmp_path: Path) -> None:
    untidy = write(tmp_path, UNTIDY, "a.latch")
    tidy = write(tmp_path, TIDY, "b.latch")
    found = call("tidy", "--check", untidy, tidy)
    assert (found.exit_code, found.stdout) == (1, f"not tidy: {untidy}\n")
    assert call("tidy", "--check", tidy).exit_code == 0


def test_one_bad_file_and_nothing_is_written(tmp_path: Path) -> None:
    untidy = write(tmp_path, UNTIDY, "a.latch")
    bad = write(tmp_path, "design {", "b.latch")
    found = call("tidy", "--write", untidy, bad)
    assert (found.exit_code, found.stdout) == (2, "")
    assert Path(untidy).read_text(encoding="utf-8") == UNTIDY


def test_write_and_check_exclude_each_other(tmp_path: Path) -> None:
    assert call("tidy", "--write", "--check", write(tmp_path, GOOD)).exit_code == 2


def test_a_failure_on_the_way_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = Path(write(tmp_path, UNTIDY))

    def full(handle: int) -> None:
        raise OSError(28, f"No space left on device {handle}")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        write_whole(path, TIDY)
    assert path.read_text(encoding="utf-8") == UNTIDY
    assert [one.name for one in tmp_path.iterdir()] == ["garden.latch"]
    found = call("tidy", "--write", str(path))
    assert found.exit_code == 2
    assert "cannot write" in found.stderr
