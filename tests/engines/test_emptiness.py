"""Whether a claim was put to the test is looked for wherever it does not fail."""

from tests.design.make import design
from verifier.engines.decide import Decider, Effort
from verifier.system.lower import lower
from verifier.verdict.answer import Emptiness, Outcome, Verdict

NEVER = "keep off: flag  claim c: off lasts at least 1 s"
TESTED = "press : button  claim c: press lasts at least 1 tick"


def outcome(body: str, seconds: float = 2.0) -> Outcome:
    system = lower(design(f"design d {{ {body} }}"))
    return Decider(system, Effort(seconds)).decide(system.questions[-1])


def test_what_never_happens_leaves_a_claim_empty() -> None:
    assert outcome(NEVER).verdict is Verdict.HOLDS
    assert outcome(NEVER).empty is Emptiness.NEVER


def test_what_can_happen_puts_it_to_the_test() -> None:
    assert outcome(TESTED).verdict is Verdict.HOLDS
    assert outcome(TESTED).empty is Emptiness.TESTED


def test_an_unknown_claim_is_not_called_tested_unseen() -> None:
    found = outcome(TESTED, seconds=1e-9)
    assert found.verdict is Verdict.UNKNOWN
    assert found.empty is Emptiness.NOT_SO_FAR
