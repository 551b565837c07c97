"""The parser's tables are kept between runs, and only whole ones from a safe folder are used."""

import os
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import pytest

from verifier.syntax.tables import cached_tables


@dataclass(frozen=True, slots=True)
class Plate:
    """Tables that are one word."""

    word: bytes

    def save(self, f: BinaryIO, exclude_options: tuple[str, ...] = ()) -> None:
        assert not exclude_options
        f.write(self.word)


def fetched(made: bytes, grammar: str = "g", version: str = "1") -> bytes:
    """Return the tables that come out where `made` would be made anew."""
    return cached_tables(
        grammar, version, lambda: Plate(made), lambda file: Plate(file.read())
    ).word


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    return tmp_path / "latchwork"


def test_tables_are_kept(folder: Path) -> None:
    assert fetched(b"first") == b"first"
    assert fetched(b"second") == b"first"
    assert [path.suffix for path in folder.iterdir()] == [".tables"]


def test_other_grammars_and_versions_have_their_own(folder: Path) -> None:
    assert fetched(b"first") == b"first"
    assert fetched(b"second", grammar="h") == b"second"
    assert fetched(b"third", version="2") == b"third"
    assert len(list(folder.iterdir())) == 3


@pytest.mark.parametrize("damaged", [b"", b"x", b"x" * 100])
def test_damaged_tables_are_made_anew(folder: Path, damaged: bytes) -> None:
    fetched(b"first")
    (path,) = folder.iterdir()
    path.write_bytes(damaged)
    assert fetched(b"second") == b"second"
    assert fetched(b"third") == b"second"


@pytest.mark.skipif(os.name != "posix", reason="modes of files are POSIX")
def test_a_folder_that_others_may_write_to_is_not_used(folder: Path) -> None:
    fetched(b"first")
    folder.chmod(0o777)
    assert fetched(b"second") == b"second"


@pytest.mark.skipif(os.name != "posix", reason="links need no rights on POSIX")
def test_a_folder_somewhere_else_is_not_used(folder: Path, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    folder.symlink_to(elsewhere)
    assert fetched(b"first") == b"first"
    assert not list(elsewhere.iterdir())


def test_no_folder_is_no_trouble(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "file"
    file.touch()
    monkeypatch.setenv("XDG_CACHE_HOME", str(file))
    assert fetched(b"first") == b"first"
    assert fetched(b"second") == b"second"
