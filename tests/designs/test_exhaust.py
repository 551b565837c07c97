"""The verdicts noted beside the claims, against an exhaustive search of all states."""

from pathlib import Path

import pytest

from tests.designs.exhaust import TooManyError, holds, suits
from tests.designs.notes import PATHS, design_of, noted
from verifier import pipeline


@pytest.mark.slow
@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_notes_agree_with_all_states(path: Path) -> None:
    design = design_of(path)
    system = pipeline.lowered(design)
    notes = {one.name: one.verdict or "" for one in noted(design)}
    wrong, compared = [], 0
    for question in system.questions:
        if not suits(system, question):
            continue
        try:
            found = holds(system, question)
        except TooManyError:
            continue
        compared += 1
        if found is not notes[question.name].startswith("holds"):
            wrong.append(question.name)
    assert wrong == []
    assert compared > 0 or any(clock.ranged for clock in system.clocks)
