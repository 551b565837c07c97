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


LIT, DARK = "kind one { out o: signal = yes }", "kind one { out o: signal = no }"
BOTH = ['use "lit.latch" use "dark.latch"', 'use "dark.latch" use "lit.latch"']


@pytest.mark.parametrize("uses", BOTH)
def test_two_used_files_may_not_have_a_kind_of_one_name(uses: str, tmp_path: Path) -> None:
    main = f"{uses} design one {{ p : one  claim c: possible p }}"
    found = told(tmp_path, main=main, lit=LIT, dark=DARK)
    assert [one for one in found if one != "never-live"] == ["twice"]


def test_both_places_are_named(tmp_path: Path) -> None:
    for name, text in (("main", BOTH[0]), ("lit", LIT), ("dark", DARK)):
        (tmp_path / f"{name}.latch").write_text(text, encoding="utf-8")
    collector = Collector()
    files.load(tmp_path / "main.latch", collector)
    (found,) = collector.found
    assert found.span is not None
    assert found.span.text == 'use "dark.latch"'
    places = [(Path(one.span.source.name).name, one.span.text) for one in found.labels]
    assert places == [("lit.latch", "one"), ("dark.latch", "one")]
    assert found.mend


@pytest.mark.parametrize("uses", BOTH)
def test_a_kind_of_the_file_itself_leaves_nothing_open(uses: str, tmp_path: Path) -> None:
    main = f"{uses} kind one {{ in i: signal  out o: signal = i }} design d {{ p : one }}"
    assert told(tmp_path, main=main, lit=LIT, dark=DARK) == ["unwired", "never-live"]


def test_one_file_used_by_two_lines_or_two_files_is_one(tmp_path: Path) -> None:
    main = 'use "lit.latch" use "./lit.latch" use "other.latch" design d { p : one }'
    assert told(tmp_path, main=main, lit=LIT, other='use "lit.latch"') == []


def test_a_used_kind_takes_the_place_of_a_standard_one(tmp_path: Path) -> None:
    main = 'use "lamps.latch" design d { p : lamp }'
    assert told(tmp_path, main=main, lamps="kind lamp { out lit: signal = yes }") == []
