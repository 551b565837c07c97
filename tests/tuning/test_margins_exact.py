"""The ends of margins, to the tick, against every single value asked by itself."""

import os
from dataclasses import replace

import pytest

from tests.tuning.make import claims_of, holds, random_design, rig_of
from verifier.engines.decide import Decider
from verifier.system.model import Question, System
from verifier.tuning.dials import Setting, stand
from verifier.tuning.dials_rig import NO_DESIGN, Rig, moved
from verifier.tuning.margins import Side, margins
from verifier.tuning.margins_line import SPENT
from verifier.verdict.answer import Outcome, Reach, Verdict

FIRST = int(os.environ.get("LATCHWORK_FIRST_SEED", "0"))
SEEDS = range(FIRST, FIRST + int(os.environ.get("LATCHWORK_SETTINGS", "2")))


def last(rig: Rig, at: Setting, place: int, step: int, claims: list[str]) -> int:
    """Return the last value, tick by tick, up to which all claims hold."""
    dial, value = rig.dials[place], at[place]
    while dial.low <= value + step <= dial.high:
        if not holds(rig, moved(at, place, value + step), claims):
            break
        value += step
    return value


def ends_fit(rig: Rig, at: Setting, place: int, side: Side) -> None:
    """An edge stands at the very next tick, and its claim fails there when asked by itself."""
    if side.edge is None:
        assert side.last in {rig.dials[place].low, rig.dials[place].high}
        return
    assert abs(side.edge.at - side.last) == 1
    assert side.edge.outcome.verdict is Verdict.FAILS
    there = moved(at, place, side.edge.at)
    assert rig.decide(there, side.edge.claim).verdict is Verdict.FAILS


@pytest.mark.parametrize("seed", SEEDS)
def test_ends_are_exact(seed: int) -> None:
    rig = rig_of(random_design(seed, most=9))
    at = stand(rig.dials)
    found = margins(rig, claims_of(rig, at), 200)
    again = rig.with_effort(rig.effort)
    kept = list(found.claims)
    for room in found.rooms:
        for step, side in ((-1, room.low), (1, room.high)):
            assert side.last == last(again, at, room.place, step, kept), (seed, room)
            ends_fit(again, at, room.place, side)


# --- each form of claim ---------------------------------------------------------------------------

REACH = """design reach {
  tick 100 ms
  setting wait = 4 ticks tunable 1 tick .. 12 ticks
  free ask: signal
  mains : supply(2)
  late : on_delay(wait)
  mains -> late
  late.start when ask
  claim soon: possible late.on within 9 ticks
  claim surely: possible late.on within 7 ticks whatever the spans
}"""
COUNTED = """design counted {
  tick 100 ms
  setting burns = 6 ticks tunable 1 tick .. 9 ticks
  setting limit = 3 tunable 1 .. 6
  free ask: signal
  mains : supply(2)
  glow : pulse(burns)
  mains -> glow
  glow.start when ask
  keep n: count 0..9
  n becomes n + 1 when glow.on starts and n < 5
  claim again: always possible n >= limit or glow.on and n < 2
  claim few: never n > limit + 2
  claim back: not glow.on returns
  claim short: glow.on lasts at most 8 ticks
}"""


@pytest.mark.parametrize("text", [REACH, COUNTED], ids=["reach", "counted"])
def test_ends_are_exact_whatever_is_claimed(text: str) -> None:
    rig = rig_of(text)
    at = stand(rig.dials)
    found = margins(rig, claims_of(rig, at), 200)
    again = rig.with_effort(rig.effort)
    kept = list(found.claims)
    assert len(kept) == len(claims_of(rig, at))
    for room in found.rooms:
        for step, side in ((-1, room.low), (1, room.high)):
            assert side.last == last(again, at, room.place, step, kept)
            ends_fit(again, at, room.place, side)


def test_values_passed_over_are_told() -> None:
    """A way of one shape serves up to 9 ticks less the one of the delay's own answer."""
    rig = rig_of(REACH)
    (room,) = margins(rig, ["soon"], 200).rooms
    assert (room.low.last, room.high.last, room.alike) == (1, 9, ("soon",))


@pytest.mark.parametrize("now", [0, 3])
def test_the_tolerance_is_exact(now: int) -> None:
    text = REACH.replace("4 ticks", "10 ticks").replace("9 ticks", "11 ticks")
    text = text.replace("7 ticks", "13 ticks")
    text = text.replace("tick 100 ms", f"tick 100 ms\n  tolerance {now} %") if now else text
    rig = rig_of(text)
    at = stand(rig.dials)
    slack = margins(rig, ["soon", "surely"], 200).slack
    assert slack is not None
    assert slack.edge is not None
    again = rig.with_effort(rig.effort)
    claims = ("soon", "surely")
    for percent in (now, slack.most - 1, slack.most):
        assert all(again.decide(at, one, percent).verdict is Verdict.HOLDS for one in claims)
    assert (slack.now, slack.edge.at) == (now, slack.most + 1)
    assert again.decide(at, slack.edge.claim, slack.edge.at).verdict is Verdict.FAILS


def test_a_tolerance_with_which_it_is_no_design_ends_the_slack(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    known = Rig.system

    def system(self: Rig, at: Setting, tolerance: int | None = None) -> System | None:
        return None if (tolerance or 0) > 30 else known(self, at, tolerance)

    monkeypatch.setattr(Rig, "system", system)
    slack = margins(rig_of(REACH), ["soon"], 200).slack
    assert slack is not None
    assert (slack.most, slack.widens) == (30, True)
    assert slack.edge is not None
    assert slack.edge.outcome.reason == NO_DESIGN


@pytest.mark.parametrize(
    ("glass", "exact"),
    [
        ("keep t: timer  t loads 2 s - t when ask starts", ("t",)),
        ("keep t: timer = 2 s  t loads 3 s when ask starts", ("t",)),
        ("keep t: timer  t loads 2 s when ask starts", ()),
    ],
)
def test_timers_that_no_tolerance_widens_are_named(glass: str, exact: tuple[str, ...]) -> None:
    rig = rig_of(
        "design d {\n  free ask: signal\n  setting n = 4 s tunable 1 s .. 9 s\n"
        f"  keep u: timer  u loads n when ask starts\n  {glass}\n"
        "  claim c: never t > 1 h\n}\n"
    )
    slack = margins(rig, ["c"], 50).slack
    assert slack is not None
    assert (slack.widens, slack.exact) == (True, exact)


def test_a_design_without_spans_has_none_to_widen() -> None:
    rig = rig_of(
        "design d {\n  setting n = 2 tunable 1 .. 3\n  free ask: signal\n"
        "  keep x: count 0..9\n  x becomes n when ask\n  claim c: never x > 3\n}\n"
    )
    slack = margins(rig, ["c"], 50).slack
    assert slack is not None
    assert (slack.widens, slack.most, slack.edge) == (False, 0, None)


def test_when_the_calls_are_used_up_the_end_is_not_known() -> None:
    rig = rig_of(REACH)
    (room,) = margins(rig, ["soon", "surely"], 0).rooms
    assert room.high.edge is not None
    assert room.high.edge.at == 5
    assert room.high.edge.outcome == Outcome(Verdict.UNKNOWN, reason=SPENT)


# --- what is not known for ever, and holes --------------------------------------------------------


def test_claims_that_are_known_up_to_a_time_only_are_named(monkeypatch: pytest.MonkeyPatch) -> None:
    known = Decider.decide

    def decide(self: Decider, asked: Question) -> Outcome:
        found = known(self, asked)
        holds_ = found.verdict is Verdict.HOLDS
        return replace(found, reach=Reach.UP_TO, until=600) if holds_ else found

    monkeypatch.setattr(Decider, "decide", decide)
    found = margins(rig_of(COUNTED), ["few", "short"], 200)
    assert [set(room.until) for room in found.rooms] == [{"few", "short"}, {"few", "short"}]
    assert found.slack is not None
    assert set(found.slack.until) == {"few", "short"}


def test_a_tolerance_is_looked_at_itself_since_there_may_be_holes(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """One goal is out of reach at 12 % alone, the other from 13 % on: 11 % is the most."""
    spoilt = {"soon": {12}, "surely": set(range(13, 51))}

    def decide(_rig: Rig, _at: Setting, claim: str, tolerance: int | None = None) -> Outcome:
        out = tolerance in spoilt[claim]
        return Outcome(Verdict.FAILS if out else Verdict.HOLDS, Reach.FOREVER)

    monkeypatch.setattr(Rig, "decide", decide)
    rig = rig_of(REACH.replace("tunable 1 tick .. 12 ticks", "tunable 4 ticks .. 4 ticks"))
    slack = margins(rig, ["soon", "surely"], 200).slack
    assert slack is not None
    assert slack.edge is not None
    assert (slack.most, slack.edge.at, slack.edge.claim) == (11, 12, "soon")
