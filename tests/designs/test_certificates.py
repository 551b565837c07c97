"""Every answer about the demo designs has a certificate, and judge and second solver accept it."""

from pathlib import Path

import pytest

from tests.designs.notes import PATHS, design_of
from verifier import pipeline
from verifier.engines.decide import Effort
from verifier.logic import second
from verifier.logic.recheck import shown
from verifier.logic.tick import Limits
from verifier.system.lower import lower
from verifier.verdict.answer import Verdict
from verifier.verdict.certificate_reader import proofs_of

LIMITS = Limits(steps=60_000_000, seconds=60, second=True)


@pytest.mark.slow
@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_each_answer_has_a_certificate_that_is_accepted(path: Path) -> None:
    system = lower(design_of(path))
    settings = pipeline.CheckSettings(effort=Effort(certificates=True))
    for answer in pipeline.answers(system, settings):
        outcome, question = answer.outcome, answer.question
        assert bool(outcome.certificate) is (outcome.verdict is not Verdict.UNKNOWN), question.name
        if outcome.certificate:
            proofs = proofs_of(outcome.certificate, system)
            ruling, said = shown(system, question, proofs, LIMITS)
            assert ruling.sound, question.name
            assert (said.verdict, said.reach) == (outcome.verdict, outcome.reach), question.name
            assert ruling.by == outcome.by
            assert ("cvc5" in ruling.by) is ("z3" in ruling.by and second.installed())
