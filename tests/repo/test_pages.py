"""The examples on the pages of codes: the broken one gives its code, the mended one nothing."""

from pathlib import Path

import pytest

from verifier.engines.decide import Effort
from verifier.logic.recheck import recheck
from verifier.logic.tick import Limits
from verifier.pipeline import CheckSettings, answers, designs, rules_out_all
from verifier.source.codes import MAIN, Example, codes, page
from verifier.source.diagnostic import Collector, Severity
from verifier.system.lower import lower
from verifier.verdict.answer import Emptiness

# What only an answer tells, with the efforts one of which gives it in the broken example.
ANSWERED = {
    Emptiness.NEVER.value: (2.0,),
    Emptiness.NOT_SO_FAR.value: (0.02, 0.05, 0.1, 0.2),
}
ENOUGH = (2.0,)
LIMITS = Limits(steps=1_000_000, seconds=5)


def told(example: Example, folder: Path, efforts: tuple[float, ...]) -> tuple[set[str], set[str]]:
    """Return the codes of the errors and of the warnings that an example gives."""
    collector = Collector()
    for name, content in example.files:
        (folder / name).write_bytes(content)
    for path in folder.glob("*.certificate"):
        recheck(path, None, LIMITS, collector)
    warnings = set()
    for design in designs(folder / MAIN, collector):
        system = lower(design)
        impossible = rules_out_all(system)
        if impossible is not None:
            collector.add(impossible)
        for effort in efforts:
            settings = CheckSettings(effort=Effort(seconds=effort))
            warnings |= {one.outcome.empty.value for one in answers(system, settings)}
    warnings |= {one.code for one in collector.found if one.severity is Severity.WARNING}
    errors = {one.code for one in collector.found if one.severity is Severity.ERROR}
    return errors, warnings - {Emptiness.TESTED.value}


@pytest.mark.parametrize("code", codes())
def test_the_broken_example_gives_its_code_and_no_other_error(code: str, tmp_path: Path) -> None:
    found = page(code)
    assert found
    errors, warnings = told(found.broken, tmp_path, ANSWERED.get(code, ()))
    assert code in errors | warnings
    assert errors <= {code}


@pytest.mark.parametrize("code", codes())
def test_the_mended_example_gives_nothing(code: str, tmp_path: Path) -> None:
    found = page(code)
    assert found
    efforts = ENOUGH if code in ANSWERED else ()
    assert told(found.mended, tmp_path, efforts) == (set(), set())


@pytest.mark.parametrize("code", codes())
def test_a_page_has_its_four_headings(code: str) -> None:
    found = page(code)
    assert found
    headings = [one for one in found.text.splitlines() if one.startswith("## ")]
    assert headings == ["## What it means", "## Broken", "## Mended"]
    assert found.headline == found.text.splitlines()[0].removeprefix("# ")
    assert found.headline[0].islower()
    assert not found.headline.endswith(".")
