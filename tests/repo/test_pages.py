"""The examples on the pages of codes: the broken one gives its code, the mended one nothing."""

from pathlib import Path

import pytest

from verifier.pipeline import designs, rules_out_all
from verifier.source.codes import MAIN, Example, codes, page
from verifier.source.diagnostic import Collector, Diagnostic, Severity
from verifier.system.lower import lower


def told(example: Example, folder: Path) -> list[Diagnostic]:
    for name, content in example.files:
        (folder / name).write_bytes(content)
    collector = Collector()
    for design in designs(folder / MAIN, collector):
        impossible = rules_out_all(lower(design))
        if impossible is not None:
            collector.add(impossible)
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
def test_a_page_has_its_four_headings(code: str) -> None:
    found = page(code)
    assert found
    headings = [one for one in found.text.splitlines() if one.startswith("## ")]
    assert headings == ["## What it means", "## Broken", "## Mended"]
    assert found.headline == found.text.splitlines()[0].removeprefix("# ")
    assert found.headline[0].islower()
    assert not found.headline.endswith(".")
