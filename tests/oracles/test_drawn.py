"""A slice of the comparison by seed, the finds of longer runs, and what the strategy covers."""

from dataclasses import replace
from pathlib import Path

import pytest
from rich.console import Console

from tests.oracles import drawn, explicit, symbolic
from tests.oracles.__main__ import main
from tests.oracles.compare import (
    LOOP,
    ORACLES,
    Disagreement,
    Tally,
    compare,
    design_of,
    judged,
    looked_at,
)
from tests.oracles.covered import constructs, used
from tests.oracles.drawn import How, look, texts
from tests.strategies.estates import HOME
from verifier.engines.decide import Decider, Effort
from verifier.system.lower import lower
from verifier.verdict.answer import Reach, Verdict

DESIGNS = 25
SLICES = 4
DRAWN = 500
NOT_DRAWN = {
    "Plain power": "the grammar has it as a type of parameters, where it is refused: `wrong-type`",
}
FINDS = sorted(HOME.parent.glob("*.latch"))


@pytest.mark.parametrize("chunk", range(SLICES))
def test_no_oracle_denies_an_answer(chunk: int) -> None:
    tally = Tally()
    found = look(0, chunk, DESIGNS, tally, How())
    assert found is None, found
    assert {one for one in tally.designs if one.startswith("refused")} <= {LOOP}
    for name in ORACLES:
        assert tally.oracles[name]["agreed"] > DESIGNS
    assert not tally.designs["not known afresh"]
    assert tally.oracles["afresh"]["not decided"] * 10 < tally.oracles["afresh"]["agreed"]
    said = tally.claims
    assert min(said["holds"], said["fails"]) > DESIGNS // 2
    assert said["unknown"] * 3 < said.total()


def test_no_oracle_denies_what_the_whole_pipeline_answers() -> None:
    tally = Tally()
    assert look(1, 0, 6, tally, How(whole=True)) is None
    assert tally.claims.total() > 12


@pytest.mark.parametrize("path", FINDS, ids=lambda path: path.stem)
def test_what_was_found_once_stays_mended(path: Path) -> None:
    tally = Tally()
    compare(path.read_text(encoding="utf-8"), tally)
    assert all(tally.oracles[name]["agreed"] for name in ("networkx", "dd"))


def test_each_construct_of_the_language_is_drawn() -> None:
    """Every node of the tree, every part of one that may be missing, every word but those below."""
    found = used(texts(0, DRAWN))
    missing = {one for one in constructs() if not found[one]}
    assert missing == set(NOT_DRAWN)


def test_the_command_tells_what_was_compared(tmp_path: Path) -> None:
    console = Console(record=True, width=120)
    assert main(["--designs", "2", "--seed", "5", "--into", str(tmp_path)], console) == 0
    said = console.export_text()
    assert "seed 5" in said
    assert all(name in said for name in ORACLES)
    assert not list(tmp_path.iterdir())


# --- the oracles themselves -----------------------------------------------------------------------

SMALL = """
design hedge {
  free hand: signal
  keep left: timer
  keep tries: count 0 .. 2
  left loads 2 ticks when hand starts
  tries becomes tries + 1 when hand starts and tries < 2
  claim never_two: never tries = 2
  claim rests: left > 0 s lasts at most 3 ticks
  claim comes: possible tries = 2 within 3 ticks
  claim late: possible tries = 2 within 2 ticks
  claim again: hand returns
  claim back: always possible left = 0 s within 2 ticks
  claim stuck: always possible tries = 0
}
"""
KNOWN = {
    "never_two": (False, 3),
    "rests": (False, 4),
    "comes": (True, 3),
    "late": (False, None),
    "again": (False, None),
    "back": (True, None),
    "stuck": (False, None),
    "counts": (True, None),
}
"""Worked out by hand: `hand` starts at ticks 0 and 2, so that `tries` is 2 at tick 3."""


def test_oracles_know_what_was_worked_out_by_hand() -> None:
    design = design_of(SMALL, Tally())
    assert design is not None
    system = lower(design)
    looked = looked_at(SMALL, design, system)
    assert looked.afresh is not None
    for question in system.questions:
        truths = (
            explicit.truth(looked.states, question.claim),
            symbolic.truth(system, question),
            looked.afresh.truth(question.name),
        )
        for truth in truths:
            assert (truth.holds, truth.tick) == KNOWN[question.name], question.name


@pytest.mark.parametrize("name", sorted(KNOWN))
def test_every_oracle_that_can_say_denies_a_wrong_answer(name: str) -> None:
    """A verdict turned round is denied by those who look at all states, agreed to by none."""
    design = design_of(SMALL, Tally())
    assert design is not None
    system = lower(design)
    question = next(one for one in system.questions if one.name == name)
    right = Decider(system, Effort(0.3), worst=False).decide(question)
    turned = Verdict.FAILS if right.verdict is Verdict.HOLDS else Verdict.HOLDS
    wrong = replace(right, verdict=turned, reach=Reach.FOREVER, trace=None, lasso=None)
    tally = Tally()
    looked = looked_at(SMALL, design, system)
    denied = {one for one, _ in judged(looked, question, wrong, tally)}
    assert denied >= {"networkx", "dd", "afresh"}
    if KNOWN[name][1] is not None and right.trace is not None:
        assert denied >= {"python-sat", "cvc5"}


def test_a_find_is_shrunk(monkeypatch: pytest.MonkeyPatch) -> None:
    def deny(text: str, tally: Tally, effort: float, *, whole: bool) -> None:
        del tally, effort, whole
        if "lasts" in text:
            raise Disagreement("lasts")

    monkeypatch.setattr(drawn, "compare", deny)
    found = look(3, 0, 50, Tally(), How())
    assert found is not None
    assert found.why == "lasts"
    assert len(found.text.splitlines()) < 15
