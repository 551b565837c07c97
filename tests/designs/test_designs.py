"""The demo designs: each says the verdict of each claim beside it, and the verifier agrees."""

from pathlib import Path

import pytest

from tests.designs.notes import FOLDER, PATHS, design_of, noted
from verifier import pipeline
from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.syntax.tidy import tidy
from verifier.verdict.answer import Emptiness, Outcome, Reach, Verdict

SHIPPED = (*PATHS, *FOLDER.glob("kinds/*.latch"), FOLDER.parent / "grammar" / "parts.latch")


def name_of(path: Path) -> str:
    return path.stem


def words(outcome: Outcome) -> str:
    """Say an outcome in the words that stand beside the claims."""
    match outcome.verdict, outcome.reach:
        case Verdict.HOLDS, Reach.FOREVER:
            return "holds, for ever"
        case Verdict.HOLDS, _:
            return "holds"
        case Verdict.FAILS, _:
            return "fails"
        case _:
            return "unknown so far"


def agrees(note: str | None, said: str) -> bool:
    """A note `holds` leaves open whether it is for ever."""
    return said == note or (note == "holds" and said == "holds, for ever")


def test_there_are_a_dozen_and_more() -> None:
    assert len(PATHS) >= 12


@pytest.mark.parametrize("path", PATHS, ids=name_of)
def test_verdicts_are_those_noted(path: Path) -> None:
    design = design_of(path)
    notes = {one.name: one.verdict for one in noted(design)}
    assert None not in notes.values(), notes
    said = {}
    for answer in pipeline.check(design, pipeline.CheckSettings()):
        assert not answer.outcome.fault, answer.question.name
        assert answer.outcome.empty is Emptiness.TESTED, answer.question.name
        said[answer.question.name] = words(answer.outcome)
    wrong = {name: one for name, one in said.items() if not agrees(notes[name], one)}
    assert wrong == {}


@pytest.mark.parametrize("path", PATHS, ids=name_of)
def test_head_says_what_it_is_for(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    head = text.partition("\n\n")[0].splitlines()
    assert head
    assert all(line.startswith("# ") for line in head)
    assert f"design {path.stem}" in text
    assert max(map(len, text.splitlines())) <= 120


def test_each_is_told_of_in_the_readme() -> None:
    readme = (FOLDER / "README.md").read_text(encoding="utf-8")
    assert [path.name for path in PATHS if path.name not in readme] == []


def test_a_missing_note_is_noticed(tmp_path: Path) -> None:
    path = tmp_path / "bare.latch"
    path.write_text(
        "design bare {\n  free a: signal\n  claim one: possible a\n}\n", encoding="utf-8"
    )
    assert [one.verdict for one in noted(design_of(path))] == [None]


@pytest.mark.parametrize("path", SHIPPED, ids=name_of)
def test_stands_in_the_usual_layout(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert tidy(Source(path.name, text), Collector()) == text
