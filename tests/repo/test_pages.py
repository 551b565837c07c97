"""The examples on the pages of codes, run: the broken one gives its code, the mended one does not."""

from pathlib import Path

import pytest

from verifier.design.files import load
from verifier.design.resolve import designs_in, resolve
from verifier.source.codes import MAIN, Example, codes, page
from verifier.source.diagnostic import Collector, Diagnostic, Severity


def told(example: Example, folder: Path) -> list[Diagnostic]:
    for name, content in example.files:
        (folder / name).write_bytes(content)
    collector = Collector()
    unit = load(folder / MAIN, collector)
    if unit is not None:
        for block in designs_in(unit):
            resolve(block, unit, collector)
    return collector.found


@pytest.mark.parametrize("code", codes())
def test_the_broken_example_gives_its_code_and_no_other_error(code: str, tmp_path: Path) -> None:
    found = page(code)
    assert found
    given = told(found.broken, tmp_path)
    assert code in {one.code for one in given}, given
    assert {one.code for one in given if one.severity is Severity.ERROR} <= {code}, given


@pytest.mark.parametrize("code", codes())
def test_the_mended_example_gives_nothing(code: str, tmp_path: Path) -> None:
    found = page(code)
    assert found
    assert told(found.mended, tmp_path) == []


@pytest.mark.parametrize("code", codes())
def test_a_page_says_what_it_means(code: str) -> None:
    found = page(code)
    assert found
    assert [line for line in found.text.splitlines() if line.startswith("#")][:4] == [
        f"# {found.headline}",
        "## What it means",
        *[line for line in found.text.splitlines() if line.startswith("## ")][1:3],
    ]
