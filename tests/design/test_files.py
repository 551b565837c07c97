"""Files that use other files."""

from pathlib import Path

import pytest

from verifier.design import files
from verifier.design.resolve import designs_in, resolve
from verifier.source.diagnostic import Collector

GATES = "kind gate { in told: signal  out o: signal = told }"


def told(folder: Path, **texts: str) -> list[str]:
    """Return the codes told about main.latch among the given files of a folder."""
    for name, text in texts.items():
        path = folder / f"{name}.latch"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    collector = Collector()
    unit = files.load(folder / "main.latch", collector)
    if unit is not None:
        for block in designs_in(unit):
            resolve(block, unit, collector)
    return [one.code for one in collector.found]


def test_kinds_of_another_file_are_in_reach(tmp_path: Path) -> None:
    main = 'use "gates.latch" design d { b : button  g : gate  b -> g }'
    assert told(tmp_path, main=main, gates=GATES) == []


def test_kinds_find_the_kinds_of_their_own_file(tmp_path: Path) -> None:
    main = 'use "outer.latch" kind gate { out o: signal = no } design d { g : pair }'
    outer = f"{GATES} kind pair {{ a : gate  out o: signal  a -> o  a.told when yes }}"
    assert told(tmp_path, main=main, outer=outer) == []


@pytest.mark.parametrize("path", ["../gates.latch", "/etc/passwd", "a/../../gates.latch"])
def test_nothing_leads_out_of_the_folder(tmp_path: Path, path: str) -> None:
    (tmp_path / "gates.latch").write_text(GATES, encoding="utf-8")
    inner = tmp_path / "inner"
    inner.mkdir()
    assert told(inner, main=f'use "{path}" design d {{ g : gate }}') == ["use-outside"]


def test_a_link_does_not_lead_out_either(tmp_path: Path) -> None:
    (tmp_path / "gates.latch").write_text(GATES, encoding="utf-8")
    inner = tmp_path / "inner"
    inner.mkdir()
    (inner / "link.latch").symlink_to(tmp_path / "gates.latch")
    assert told(inner, main='use "link.latch" design d { g : gate }') == ["use-outside"]


def test_a_missing_file_is_told_once(tmp_path: Path) -> None:
    assert told(tmp_path, main='use "gats.latch" design d { g : gate }') == ["use-missing"]


def test_files_in_a_circle_are_told(tmp_path: Path) -> None:
    found = told(tmp_path, main='use "b.latch" design d { }', b='use "main.latch"')
    assert found == ["use-circle"]


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    (tmp_path / "gates.latch").mkdir()
    assert told(tmp_path, main='use "gates.latch" design d { }') == ["use-missing"]
