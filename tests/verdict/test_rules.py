"""What evidence says of a question, and that true evidence of something else says nothing."""

from dataclasses import replace

import pytest

from tests.bank.plants import too_long
from tests.engines.zones.workshop import question
from tests.verdict.test_certificate import EVERY
from verifier.engines.contract import Budget, Task
from verifier.engines.ways import proof_of_never
from verifier.logic.recheck import shown
from verifier.logic.tick import Limits
from verifier.system.cone import cone
from verifier.verdict.answer import Verdict
from verifier.verdict.evidence import Asked, Closed, Evidence, Foiled, Patient, Proof, Trapped
from verifier.verdict.rules import said
from verifier.verdict.variant import patience

PULSE = too_long(6, 5, 6)
QUESTION = question(PULSE.target, PULSE.system.pool)
HOLDS, FAILS, UNKNOWN = Verdict.HOLDS, Verdict.FAILS, Verdict.UNKNOWN

SAYS = {
    Asked.BAD: {
        "Reaches": FAILS,
        "Circles": HOLDS,
        "Closed": HOLDS,
        "Invariant": HOLDS,
        "Explored": HOLDS,
        "Trapped": UNKNOWN,
        "Guided": UNKNOWN,
        "Patient": UNKNOWN,
        "Certain": UNKNOWN,
        "Foiled": UNKNOWN,
    },
    Asked.GOAL: {
        "Reaches": HOLDS,
        "Circles": FAILS,
        "Closed": FAILS,
        "Invariant": FAILS,
        "Explored": FAILS,
        "Trapped": UNKNOWN,
        "Guided": UNKNOWN,
        "Patient": UNKNOWN,
        "Certain": HOLDS,
        "Foiled": UNKNOWN,
    },
    Asked.WAITING: {
        "Reaches": UNKNOWN,
        "Circles": HOLDS,
        "Closed": HOLDS,
        "Invariant": HOLDS,
        "Explored": HOLDS,
        "Trapped": UNKNOWN,
        "Guided": UNKNOWN,
        "Patient": HOLDS,
        "Certain": UNKNOWN,
        "Foiled": UNKNOWN,
    },
    Asked.OPEN: {
        "Reaches": UNKNOWN,
        "Circles": UNKNOWN,
        "Closed": UNKNOWN,
        "Invariant": UNKNOWN,
        "Explored": HOLDS,
        "Trapped": FAILS,
        "Guided": HOLDS,
        "Patient": UNKNOWN,
        "Certain": UNKNOWN,
        "Foiled": UNKNOWN,
    },
}
"""What each kind says where nothing is known of the ticks of an endless run."""


@pytest.mark.parametrize("asked", SAYS, ids=lambda asked: asked.value)
@pytest.mark.parametrize("evidence", EVERY, ids=lambda one: type(one).__name__)
def test_evidence_says_no_more_than_it_shows(asked: Asked, evidence: Evidence) -> None:
    outcome = said(PULSE.system, QUESTION, asked, evidence, None)
    expected = SAYS[asked][type(evidence).__name__]
    if isinstance(evidence, Closed) and evidence.until is not None and asked is not Asked.BAD:
        expected = UNKNOWN  # so far is not for ever
    if isinstance(evidence, Trapped) and evidence.beyond is not None:
        expected = UNKNOWN  # not so soon is not never, and no time is asked for
    assert outcome.verdict is expected


def test_a_true_bound_on_waiting_is_no_proof_that_nothing_happens() -> None:
    """The pulse runs for too long, at tick 6, but not for 50 ticks: the judge finds that true."""
    system, target = PULSE.system, PULSE.target
    task = Task(cone(system, [target]), QUESTION, Asked.BAD, target, None, seed=0)
    variant = patience(system, target, 50)
    node = proof_of_never(task, variant.system, variant.target, Budget.of(5.0), anywhere=False)
    assert node is not None
    proof = Proof(Asked.BAD, Patient(50, node))
    ruling, outcome = shown(system, QUESTION, [proof], Limits(10_000_000, 20))
    assert ruling.sound
    assert outcome.verdict is UNKNOWN


def test_spans_that_foil_all_say_no_only_to_who_excludes_luck() -> None:
    foiled = Foiled(longest=True, node=PULSE.system.pool.yes)
    asked = replace(QUESTION, whatever=True)
    assert said(PULSE.system, asked, Asked.GOAL, foiled, None).verdict is FAILS
    assert said(PULSE.system, QUESTION, Asked.GOAL, foiled, None).verdict is UNKNOWN
