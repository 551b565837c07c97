"""Files that are no designs are told, and never read further than need be."""

import os
from pathlib import Path

import pytest

from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.syntax.mistakes import LARGEST_FILE
from verifier.syntax.parse import parse, read_source


def codes(path: Path) -> list[str]:
    collector = Collector()
    assert read_source(path, collector) is None
    return [one.code for one in collector.found]


def source_of(path: Path) -> Source:
    collector = Collector()
    source = read_source(path, collector)
    assert source is not None
    assert not collector.found
    return source


def test_a_file_is_read(tmp_path: Path) -> None:
    path = tmp_path / "a.latch"
    path.write_bytes("\ufeffdesign d {\r\n  # café\r\n}\r\n".encode())
    source = source_of(path)
    assert source.name == str(path)
    assert source.text == "design d {\n  # café\n}\n"
    assert parse(source, Collector()) is not None


def test_what_is_no_file(tmp_path: Path) -> None:
    assert codes(tmp_path) == ["unreadable-file"]
    assert codes(tmp_path / "none.latch") == ["unreadable-file"]
    assert codes(tmp_path / "none.latch" / "below") == ["unreadable-file"]
    assert codes(Path("a\0b")) == ["unreadable-file"]
    assert codes(Path("x" * 5_000)) == ["unreadable-file"]


@pytest.mark.skipif(os.name != "posix", reason="pipes and devices are files on POSIX only")
def test_pipes_and_devices_are_not_opened(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    assert codes(pipe) == ["unreadable-file"]
    assert codes(Path(os.devnull)) == ["unreadable-file"]


def test_other_encodings(tmp_path: Path) -> None:
    path = tmp_path / "a.latch"
    path.write_bytes(b"design d {\n# caf\xe9\n}\n")
    collector = Collector()
    assert read_source(path, collector) is None
    (found,) = collector.found
    assert found.code == "not-utf8"
    assert "line 2" in found.notes[0]


def test_large_files(tmp_path: Path) -> None:
    path = tmp_path / "a.latch"
    path.write_bytes(b"#" * LARGEST_FILE)
    assert parse(source_of(path), Collector()) is not None
    path.write_bytes(b"#" * (LARGEST_FILE + 1))
    assert codes(path) == ["too-large"]


def test_binary_files_are_told(tmp_path: Path) -> None:
    path = tmp_path / "a.latch"
    path.write_bytes(bytes(range(128)) * 100)
    collector = Collector()
    assert parse(source_of(path), collector) is None
    assert "stray-letter" in {one.code for one in collector.found}
    assert len(collector.found) <= 40
