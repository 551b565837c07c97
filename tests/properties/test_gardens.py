"""Answers to claims of random designs, from text to verdict, against a search of all states.

`HYPOTHESIS_PROFILE=nightly` looks at thousands. What is compared: the verdict of every claim, up to
a time where it is said only so far, and the earliest tick of a run that is called earliest.
"""

from hypothesis import event, given, settings

from tests.design.make import resolved
from tests.designs.exhaust import TooManyError, explored, holds, suits
from tests.strategies.gardens import gardens
from verifier.engines.decide import Decider, Effort
from verifier.system.lower import lower
from verifier.system.model import Form, Question, System
from verifier.verdict.answer import Outcome, Reach, Verdict

FEW = 200
"""So many designs at the least; a longer profile looks at more."""


@settings(max_examples=max(FEW, settings().max_examples))
@given(gardens())
def test_answers_agree_with_all_states(text: str) -> None:
    design, told = resolved(text)
    if design is None:
        # The only mistake that chance can make: parts that wait for each other in the same tick.
        assert {one.code for one in told if one.severity.value == "error"} == {"loop"}, told
        event("a loop")
        return
    system = lower(design)
    decider = Decider(system, Effort(seconds=0.3), worst=False)
    for question in system.questions:
        assert suits(system, question)
        compare(system, question, decider.decide(question))


def compare(system: System, question: Question, outcome: Outcome) -> None:
    """Fail where an answer is at odds with what all states say."""
    assert not outcome.fault, outcome.reason
    try:
        truth = holds(system, question)
    except TooManyError:
        event("too many states")
        return
    event(f"{question.form.value}: {outcome.verdict.value}")
    if outcome.verdict is Verdict.UNKNOWN:
        return
    if outcome.reach is Reach.UP_TO:
        first = max(explored(system, question).level.values()) if not truth else None
        assert truth or (first is not None and first >= (outcome.until or 0))
        return
    assert (outcome.verdict is Verdict.HOLDS) is truth
    shown = outcome.trace is not None and question.form in {Form.AVOID, Form.REACH}
    if shown and outcome.earliest:
        graph = explored(system, question)
        assert outcome.trace is not None
        assert min(graph.level[at] for at in graph.hits) == outcome.trace.length - 1
