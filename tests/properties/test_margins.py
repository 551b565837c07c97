"""How near runs come to the numbers of claims of random designs, against a search of all states.

A margin says of a number that with it the claim holds, and, where it is exact, that with the next
harder one it does not. Both are asked of the exhaustive search, by other sentences in the design.
"""

from dataclasses import replace

from hypothesis import event, given, settings

from tests.design.make import resolved
from tests.designs.exhaust import TooManyError, holds
from tests.strategies.gardens import gardens
from verifier.design.bounds import Bound, bounds, with_bound
from verifier.engines.decide import Decider, Effort
from verifier.system.lower import lower
from verifier.system.model import Question, System
from verifier.verdict.answer import Emptiness, Margin, Outcome, Verdict
from verifier.verdict.replay import follow

FEW = 300
"""So many designs at the least; a longer profile looks at more."""


@settings(max_examples=max(FEW, settings().max_examples))
@given(gardens())
def test_margins_are_the_worst_of_all_states(text: str) -> None:
    design, _ = resolved(text)
    if design is None:
        event("a loop")
        return
    system = lower(design)
    decider = Decider(system, Effort(seconds=0.5))
    for question in system.questions:
        outcome = decider.decide(question)
        told = {(one.measure, one.allowed): one for one in outcome.margins}
        for bound in bounds(question.claim.sentence):
            try:
                compare(system, question, outcome, bound, told.get((bound.measure, bound.stated)))
            except TooManyError:
                event("too many states")


def compare(
    system: System, question: Question, outcome: Outcome, bound: Bound, margin: Margin | None
) -> None:
    """Fail where a margin is at odds with what all states say."""
    if margin is None:
        if outcome.verdict is Verdict.HOLDS and outcome.empty is Emptiness.TESTED:
            event(f"{bound.measure.value}: nothing said")
        return
    assert truly(system, question, bound, margin.value)
    if margin.exact and (margin.value or bound.easier < 0):
        assert not truly(system, question, bound, margin.value - bound.easier)
        assert margin.trace is not None
        assert follow(system, margin.trace).ruling.sound
    event(f"{bound.measure.value}: {'exact' if margin.exact else 'a bound'}")


def truly(system: System, question: Question, bound: Bound, value: int) -> bool:
    """Return whether the claim holds with another number, as all states say."""
    claim = replace(question.claim, sentence=with_bound(question.claim.sentence, bound, value))
    other = lower(replace(system.design, claims=(claim,)))
    return holds(other, other.questions[0])
