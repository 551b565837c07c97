"""The worst there is in each demo design, as it was once found; `RENEW_GOLDEN=1` writes it anew.

The numbers were read over against the designs: spans add up by hand in all of them.
"""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.designs.notes import PATHS, design_of
from verifier.design.bounds import bounds
from verifier.engines.decide import Decider, Effort
from verifier.report.clock import Clock
from verifier.report.margins import margin_words
from verifier.system.lower import lower
from verifier.system.model import Form

FOLDER = Path(__file__).parent / "worst"


def told(path: Path) -> Iterator[str]:
    """Yield a line for each number of a claim of which the worst is known."""
    system = lower(design_of(path))
    clock = Clock(system.design.tick_ns)
    for question in system.questions:
        if not bounds(question.claim.sentence) and question.form is not Form.OPEN:
            continue
        outcome = Decider(system, Effort()).decide(question)
        for margin in outcome.margins:
            words = margin_words(margin, outcome.verdict, clock)
            yield f"{question.name}: {question.claim.written}\n    {words}\n"


@pytest.mark.slow
@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_the_worst_is_the_same_as_ever(path: Path) -> None:
    text, known = "".join(told(path)), FOLDER / f"{path.stem}.txt"
    if os.environ.get("RENEW_GOLDEN"):
        known.write_text(text, encoding="utf-8")
    assert text == known.read_text(encoding="utf-8")
