"""What evidence says of a question, one case at a time: how far it goes, and what it shows."""

from dataclasses import replace

import pytest

from tests.bank.plants import lucky, too_long
from tests.engines.zones.workshop import question
from tests.system.make import Bench, load
from tests.verdict.test_certificate import LIST, LOOP, NODE, RUN
from verifier.design.bounds import Measure
from verifier.system.lower import lower
from verifier.system.model import Form, Question
from verifier.verdict import rules
from verifier.verdict.answer import Away, Margin, Outcome, Reach, Verdict
from verifier.verdict.evidence import (
    Asked,
    Certain,
    Circles,
    Closed,
    Evidence,
    Explored,
    Foiled,
    Guided,
    Invariant,
    Patient,
    Reaches,
    Trapped,
)
from verifier.verdict.explored import Shows
from verifier.verdict.replay import Gap, Seen
from verifier.verdict.trace import State

PULSE = too_long(6, 5, 6)
POOL = PULSE.system.pool
PLAIN = question(PULSE.target, POOL)
TIMED = replace(PLAIN, limit=20)
HOLDS, FAILS, UNKNOWN = Verdict.HOLDS, Verdict.FAILS, Verdict.UNKNOWN
ALWAYS = Outcome(HOLDS, Reach.FOREVER)
NEVER = Outcome(FAILS, Reach.FOREVER)
NOTHING = Outcome(UNKNOWN)

SEEN_ALWAYS = Seen(first=3, in_loop=True, always_in_loop=True, longest_gap=Gap(0, 4))
SEEN_OFTEN = Seen(first=3, in_loop=True, always_in_loop=False, longest_gap=Gap(0, 20))
SEEN_RARELY = Seen(first=3, in_loop=True, always_in_loop=False, longest_gap=Gap(2, 21))
SEEN_NO_MORE = Seen(first=3, in_loop=False, always_in_loop=False, longest_gap=None)
FAR = Explored({State((), (0,)): 20, State((), (1,)): 3}, {})
TOO_FAR = Explored({State((), (0,)): 3, State((), (1,)): 21}, {})
GUIDED = Guided((), 20, NODE)


def farthest(ticks: int, limit: int | None) -> tuple[Margin, ...]:
    return (Margin(Measure.FARTHEST, ticks, limit, exact=True),)


CASES: list[tuple[Asked, Question, Evidence, Seen | None, Outcome]] = [
    # The claim is broken at some tick, or at none.
    (Asked.BAD, PLAIN, Reaches(RUN), None, replace(NEVER, trace=RUN)),
    (Asked.BAD, PLAIN, Reaches(RUN, True), None, replace(NEVER, trace=RUN, earliest=True)),
    (Asked.BAD, PLAIN, Closed(None, 4), None, ALWAYS),
    (Asked.BAD, PLAIN, Closed(99, 4), None, Outcome(HOLDS, Reach.UP_TO, 99)),
    (Asked.BAD, TIMED, Closed(19, 4), None, Outcome(HOLDS, Reach.UP_TO, 19)),
    (Asked.BAD, TIMED, Closed(20, 4), None, ALWAYS),
    (Asked.BAD, TIMED, Closed(21, 4), None, ALWAYS),
    (Asked.BAD, PLAIN, Patient(9, NODE), None, rules.BESIDE),
    # The goal is reached, or cannot be.
    (Asked.GOAL, PLAIN, Reaches(RUN), None, replace(ALWAYS, trace=RUN)),
    (Asked.GOAL, PLAIN, Reaches(RUN, True), None, replace(ALWAYS, trace=RUN, earliest=True)),
    (Asked.GOAL, PLAIN, Closed(None, 4), None, NEVER),
    (Asked.GOAL, PLAIN, Closed(99, 4), None, Outcome(UNKNOWN, Reach.UP_TO, 99)),
    (Asked.GOAL, TIMED, Closed(19, 4), None, Outcome(UNKNOWN, Reach.UP_TO, 19)),
    (Asked.GOAL, TIMED, Closed(20, 4), None, NEVER),
    (Asked.GOAL, PLAIN, Certain(RUN, 9, NODE), None, replace(ALWAYS, trace=RUN)),
    (Asked.GOAL, PLAIN, Foiled(longest=True, node=NODE), None, rules.BESIDE),
    # Something is waited for without an end.
    (Asked.WAITING, PLAIN, Circles(LOOP), SEEN_ALWAYS, replace(NEVER, lasso=LOOP)),
    (Asked.WAITING, PLAIN, Circles(LOOP), SEEN_OFTEN, ALWAYS),
    (Asked.WAITING, PLAIN, Closed(None, 4), None, ALWAYS),
    (Asked.WAITING, TIMED, Closed(20, 4), None, rules.BESIDE),
    # It can always still come.
    (Asked.OPEN, PLAIN, TOO_FAR, None, replace(ALWAYS, margins=farthest(21, None))),
    (Asked.OPEN, TIMED, FAR, None, replace(ALWAYS, margins=farthest(20, 20))),
    (Asked.OPEN, TIMED, TOO_FAR, None, rules.BESIDE),
    (
        Asked.OPEN,
        replace(PLAIN, limit=0),
        Explored({}, {}),
        None,
        replace(ALWAYS, margins=farthest(0, 0)),
    ),
    (Asked.OPEN, PLAIN, GUIDED, None, ALWAYS),
    (Asked.OPEN, TIMED, GUIDED, None, ALWAYS),
    (Asked.OPEN, TIMED, replace(GUIDED, within=21), None, rules.BESIDE),
    (Asked.OPEN, PLAIN, Trapped(RUN, LIST), None, replace(NEVER, trace=RUN)),
    (Asked.OPEN, TIMED, Trapped(RUN, LIST), None, replace(NEVER, trace=RUN)),
    (Asked.OPEN, PLAIN, Trapped(RUN, TOO_FAR, beyond=20), None, rules.BESIDE),
    (Asked.OPEN, TIMED, Trapped(RUN, TOO_FAR, beyond=19), None, rules.BESIDE),
    (
        Asked.OPEN,
        TIMED,
        Trapped(RUN, TOO_FAR, beyond=20),
        None,
        replace(NEVER, trace=RUN, away=Away(21, exact=True), margins=farthest(21, 20)),
    ),
    (
        Asked.OPEN,
        TIMED,
        Trapped(RUN, Invariant(NODE), beyond=24),
        None,
        replace(NEVER, trace=RUN, away=Away(25, exact=False)),
    ),
    (Asked.BAD, TIMED, Trapped(RUN, Invariant(NODE), beyond=20), None, rules.BESIDE),
    (Asked.OPEN, PLAIN, Circles(LOOP), None, rules.BESIDE),
    (Asked.OPEN, PLAIN, Circles(LOOP), SEEN_RARELY, replace(ALWAYS, margins=farthest(21, None))),
    (Asked.OPEN, TIMED, Circles(LOOP), SEEN_OFTEN, replace(ALWAYS, margins=farthest(20, 20))),
    (
        Asked.OPEN,
        TIMED,
        Circles(LOOP),
        SEEN_RARELY,
        replace(
            NEVER, trace=LOOP.trace.first(2), away=Away(21, exact=True), margins=farthest(21, 20)
        ),
    ),
    (Asked.OPEN, PLAIN, Circles(LOOP), SEEN_NO_MORE, replace(NEVER, lasso=LOOP)),
    # A run that puts the claim to the test says nothing of it.
    (Asked.TRIGGER, PLAIN, Reaches(RUN), None, NOTHING),
]


@pytest.mark.parametrize(("asked", "of", "evidence", "seen", "expected"), CASES)
def test_evidence_says_so_much(
    asked: Asked, of: Question, evidence: Evidence, seen: Seen | None, expected: Outcome
) -> None:
    found = rules.said(PULSE.system, of, asked, evidence, seen)
    assert replace(found, reason="") == replace(expected, reason="")


def test_how_far_away_it_is_after_a_run_is_told() -> None:
    late = Trapped(RUN, TOO_FAR, beyond=20)
    found = rules.said(PULSE.system, TIMED, Asked.OPEN, late, None)
    assert found.reason == "after this it takes 2.1 s at the least"
    unsure = Trapped(RUN, Invariant(NODE), beyond=20)
    found = rules.said(PULSE.system, TIMED, Asked.OPEN, unsure, None)
    assert found.reason == "after this it takes more than 2 s"


def test_which_spans_foil_all_is_told() -> None:
    asked = replace(PLAIN, whatever=True)
    longest = rules.said(PULSE.system, asked, Asked.GOAL, Foiled(longest=True, node=NODE), None)
    shortest = rules.said(PULSE.system, asked, Asked.GOAL, Foiled(longest=False, node=NODE), None)
    assert longest.reason.endswith("longest")
    assert shortest.reason.endswith("shortest")


def test_a_way_by_luck_says_nothing_to_who_excludes_luck() -> None:
    """The spans of the lucky plant are drawn from a range, those of the pulse are fixed."""
    plant = lucky(4, 9, 9, None)
    asked = replace(question(plant.target, plant.system.pool), goal=plant.target)
    hard = replace(asked, whatever=True)
    assert rules.spans_differ(plant.system, plant.target)
    assert rules.said(plant.system, hard, Asked.GOAL, Reaches(RUN), None).verdict is UNKNOWN
    assert rules.said(plant.system, asked, Asked.GOAL, Reaches(RUN), None).verdict is HOLDS
    fixed = replace(PLAIN, goal=PULSE.target, whatever=True)
    assert not rules.spans_differ(PULSE.system, PULSE.target)
    assert rules.said(PULSE.system, fixed, Asked.GOAL, Reaches(RUN), None).verdict is HOLDS


@pytest.mark.parametrize(
    ("first", "second", "differ"),
    [((4, 4), (4, 4), False), ((2, 5), (4, 4), True), ((4, 4), (2, 5), True)],
)
def test_one_span_that_is_drawn_is_enough(
    first: tuple[int, int], second: tuple[int, int], differ: bool
) -> None:
    bench = Bench()
    press = bench.button("press")
    bench.timer("first").loads = (load(press, *first),)
    bench.timer("second").loads = (load(press, *second),)
    system = lower(bench.design())
    both = system.pool.and_(system.pool.above(0, 0), system.pool.above(1, 0))
    assert rules.spans_differ(system, both) is differ


@pytest.mark.parametrize(
    ("form", "bad", "waiting", "expected"),
    [
        (Form.AVOID, ALWAYS, None, ALWAYS),
        (Form.AVOID, NEVER, None, NEVER),
        (Form.AVOID, None, ALWAYS, NOTHING),
        (Form.AGAIN, ALWAYS, ALWAYS, ALWAYS),
        (Form.AGAIN, NEVER, ALWAYS, NEVER),
        (Form.AGAIN, ALWAYS, NEVER, NEVER),
        (Form.AGAIN, None, NEVER, NEVER),
        (Form.AGAIN, ALWAYS, None, NOTHING),
        (Form.AGAIN, None, ALWAYS, NOTHING),
        (Form.AGAIN, Outcome(HOLDS, Reach.UP_TO, 9), ALWAYS, NOTHING),
        (Form.AGAIN, Outcome(UNKNOWN, Reach.FOREVER), ALWAYS, NOTHING),
        (Form.AGAIN, ALWAYS, Outcome(HOLDS, Reach.UP_TO, 9), Outcome(HOLDS, Reach.UP_TO, 9)),
    ],
)
def test_what_comes_again_holds_where_both_halves_do_for_ever(
    form: Form, bad: Outcome | None, waiting: Outcome | None, expected: Outcome
) -> None:
    halves = {Asked.BAD: bad, Asked.WAITING: waiting}
    found = {asked: half for asked, half in halves.items() if half is not None}
    assert rules.together(replace(PLAIN, form=form), found) == expected


def test_each_form_looks_for_its_own_targets() -> None:
    bad, goal, waiting, trigger = (POOL.register(number) for number in range(4))
    asked = replace(PLAIN, bad=bad, goal=goal, waiting=waiting, trigger=trigger)
    found = {one: rules.target_of(asked, one) for one in Asked}
    assert found == {
        Asked.BAD: bad,
        Asked.GOAL: goal,
        Asked.OPEN: goal,
        Asked.WAITING: waiting,
        Asked.TRIGGER: trigger,
    }
    assert rules.ASKED == {
        Form.AVOID: (Asked.BAD,),
        Form.REACH: (Asked.GOAL,),
        Form.AGAIN: (Asked.BAD, Asked.WAITING),
        Form.OPEN: (Asked.OPEN,),
    }
    with pytest.raises(ValueError, match="q has no trigger"):
        rules.target_of(PLAIN, Asked.TRIGGER)


def test_each_target_has_its_list_of_states() -> None:
    found = {one: rules.shows_of(one) for one in Asked}
    assert found == {
        Asked.BAD: Shows.NEVER,
        Asked.GOAL: Shows.NEVER,
        Asked.TRIGGER: Shows.NEVER,
        Asked.WAITING: Shows.MUST_COME,
        Asked.OPEN: Shows.CAN_COME,
    }
