"""Margins worked out by hand, and what is not said where it was not shown."""

from dataclasses import replace

import pytest

from tests.bank.grounds import taps
from tests.design.make import design
from verifier.design.bounds import Bound, Measure, bounds, with_bound
from verifier.engines import margin as module
from verifier.engines.contract import Budget
from verifier.engines.decide import Decider, Effort
from verifier.engines.gauge import Gauge, gauge
from verifier.system.lower import lower
from verifier.system.model import Question, System
from verifier.verdict.answer import Margin, Outcome, Reach, Verdict
from verifier.verdict.replay import follow, replay

# A pulse of 5 ticks answers one tick after its start and can start anew in the tick after its last.
GARDEN = """design garden {{
  tick 100 ms
  mains : supply(4)
  go    : button
  lamp  : pulse(500 ms)
  beat  : flasher(lit: 300 ms, dark: 700 ms)
  mains -> split
  split : divider(ways: 2)
  split.way[1] -> lamp
  split.way[2] -> beat
  lamp.start when go
  beat.told when go or not go
  claim c: {}
}}
"""


def asked(sentence: str) -> System:
    return lower(design(GARDEN.format(sentence)))


def question_of(system: System) -> Question:
    return next(one for one in system.questions if one.name == "c")


def answered(sentence: str, effort: float = 2.0) -> Outcome:
    system = asked(sentence)
    return Decider(system, Effort(seconds=effort)).decide(question_of(system))


@pytest.mark.parametrize(
    ("sentence", "measure", "worst"),
    [
        ("lamp lasts at most 2 s", Measure.LONGEST, 5),
        ("lamp lasts at most 500 ms", Measure.LONGEST, 5),
        ("lamp lasts at least 200 ms", Measure.SHORTEST, 5),
        ("beat lasts at least 100 ms", Measure.SHORTEST, 3),
        ("beat returns within 1 s", Measure.GAP, 7),
        ("beat returns", Measure.GAP, 7),
        ("lamp starts leads to lamp ends within 1 s", Measure.ANSWER, 5),
        ("lamp starts leads to lamp ends", Measure.ANSWER, 5),
        ("lamp leads to lamp within 1 s", Measure.ANSWER, 0),
        ("while lamp: lamp leads to lamp within 1 s", Measure.ANSWER, 0),
        # The flasher answers at the tick after it is told, that is at tick 1.
        ("eventually beat within 1 s", Measure.LATEST, 1),
        ("eventually beat", Measure.LATEST, 1),
        # A press at tick 0 lights the lamp at tick 1, and not before.
        ("lamp no sooner than 100 ms", Measure.SOONEST, 1),
        ("lamp no sooner than 0 s", Measure.SOONEST, 1),
        ("lamp only after go each within 1 s", Measure.STEP, 1),
        # Starts at 0, 10, 20 and 30 ticks after the first: four within 31 ticks, three within 30.
        ("beat at most 5 times in any 3 s", Measure.TIMES, 3),
        ("beat at most 5 times in any 3100 ms", Measure.TIMES, 4),
        ("from anywhere: beat returns within 2 s", Measure.GAP, 7),
    ],
)
def test_the_hardest_case(sentence: str, measure: Measure, worst: int) -> None:
    outcome = answered(sentence)
    assert (outcome.verdict, outcome.reach) == (Verdict.HOLDS, Reach.FOREVER)
    (found,) = outcome.margins
    assert (found.measure, found.value, found.exact) == (measure, worst, True)


def test_what_would_hold_is_told_of_a_claim_that_fails() -> None:
    outcome = answered("lamp lasts at most 400 ms")
    assert outcome.verdict is Verdict.FAILS
    (found,) = outcome.margins
    assert (found.value, found.allowed, found.exact) == (5, 4, True)


def test_nothing_is_told_where_no_number_would_do() -> None:
    # Nobody need press: the lamp may stay dark for ever.
    assert answered("lamp returns within 1 s").margins == ()


@pytest.mark.parametrize(
    "sentence", ["lamp lasts 500 ms", "never beat and not beat", "possible lamp"]
)
def test_nothing_is_told_of_claims_without_room(sentence: str) -> None:
    assert answered(sentence).margins == ()


def test_what_never_happens_has_no_soonest() -> None:
    assert answered("lamp and beat.left > 1 s no sooner than 1 s").margins == ()


def test_both_ends_of_a_range() -> None:
    found = answered("lamp lasts 200 ms .. 2 s").margins
    assert [(one.measure, one.value, one.allowed) for one in found] == [
        (Measure.SHORTEST, 5, 2),
        (Measure.LONGEST, 5, 20),
    ]


def test_each_number_of_a_chain_by_itself() -> None:
    system = asked("lamp ends only after go then lamp within 3 s then lamp ends within 4 s")
    stated = bounds(question_of(system).claim.sentence)
    assert stated == (Bound(Measure.STEP, 30), Bound(Measure.STEP, 40))
    (again,) = bounds(with_bound(question_of(system).claim.sentence, stated[0], 40))
    assert again.stated == 40


def test_the_run_comes_as_near_as_is_said() -> None:
    system = asked("lamp lasts at most 2 s")
    question = question_of(system)
    (found,) = Decider(system, Effort()).decide(question).margins
    assert found.trace is not None
    assert follow(system, found.trace).ruling.sound
    tight = asked("lamp lasts at most 400 ms")
    shown = replay(tight, found.trace, question_of(tight).bad, anywhere=False)
    assert shown.ruling.sound


def test_what_runs_seem_to_show_is_not_taken_on_trust(monkeypatch: pytest.MonkeyPatch) -> None:
    """A gauge that reads one tick too much."""
    honest = Gauge.look

    def look(self: Gauge, budget: Budget) -> bool:
        harder = honest(self, budget)
        self.broken = None if self.broken is None else self.broken + 1
        return harder

    monkeypatch.setattr(Gauge, "look", look)
    (found,) = answered("lamp lasts at most 2 s").margins
    assert found.value == 5


def test_proofs_that_the_judge_refuses_say_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "_shows", lambda *_: False)
    assert answered("lamp lasts at most 2 s").margins == ()


def test_without_effort_nothing_is_said() -> None:
    system = asked("lamp lasts at most 2 s")
    outcome = Outcome(Verdict.HOLDS, Reach.FOREVER)
    told = module.margins(system, question_of(system), outcome, Effort(seconds=0.0))
    assert told.margins == ()


def test_the_same_each_time() -> None:
    def once() -> tuple[Margin, ...]:
        return answered("lamp only after go each within 1 s").margins

    assert once() == once()


def test_answers_up_to_a_time_have_none() -> None:
    system = asked("lamp lasts at most 2 s")
    outcome = Outcome(Verdict.HOLDS, Reach.UP_TO, 100)
    assert module.margins(system, question_of(system), outcome, Effort()).margins == ()


def test_a_gauge_reads_the_clock_of_the_claim_only() -> None:
    system = asked("lamp lasts at most 10 s")
    question = question_of(system)
    (bound,) = bounds(question.claim.sentence)
    made = gauge(system, question, bound, 100, seed=0, patient=False)
    assert made is not None
    made.look(Budget.of(0.05))
    assert made.broken == 4
    assert (
        gauge(system, replace(question, anywhere=True), bound, 100, seed=0, patient=False) is None
    )


def test_patient_people_soon_find_a_wait_that_has_no_end() -> None:
    garden = taps(12)
    system = garden.system(garden.coarse)
    claim = next(one for one in system.design.claims if one.name == "back")
    (bound,) = bounds(claim.sentence)
    far = 184
    sentence = with_bound(claim.sentence, bound, far)
    alone = lower(replace(system.design, claims=(replace(claim, sentence=sentence),)))
    paid = []
    for patient in (False, True):
        made = gauge(alone, alone.questions[0], bound, far, seed=0, patient=patient)
        assert made is not None
        budget = Budget.of(0.2)
        made.look(budget)
        assert made.broken == far
        paid.append(budget.used)
    assert paid[1] * 3 < paid[0]
