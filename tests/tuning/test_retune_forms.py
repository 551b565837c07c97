"""Retuning for each form of claim, against a grid of single answers; and what ends a search."""

import pytest

from tests.tuning.make import claims_of, grid, holds, rig_of
from verifier.logic.openings import Openings
from verifier.tuning.clash import clash
from verifier.tuning.dials import Setting, stand
from verifier.tuning.dials_rig import Rig
from verifier.tuning.regions import Region
from verifier.tuning.retune import MOST_UNSURE, Aim, Found, Goal, Search
from verifier.tuning.retune_answer import retuned
from verifier.verdict.answer import Outcome, Verdict

REACH = """design reach {
  tick 100 ms
  setting wait = 3 ticks tunable 1 tick .. 3 ticks
  setting more = 3 ticks tunable 1 tick .. 3 ticks
  free ask: signal
  mains : supply(2)
  feed : divider(ways: 2)
  mains -> feed
  late : on_delay(wait)
  later : on_delay(more)
  feed.way[1] -> late
  feed.way[2] -> later
  late.start when ask
  later.start when late.on
  claim soon: possible later.on within 6 ticks
  claim slow: later.on no sooner than 5 ticks
  claim surely: possible late.on within 3 ticks whatever the spans
}"""
OPEN = """design open {
  tick 100 ms
  setting burns = 2 ticks tunable 1 tick .. 4 ticks
  setting limit = 6 tunable 5 .. 6
  free ask: signal
  mains : supply(2)
  glow : pulse(burns)
  mains -> glow
  glow.start when ask
  keep n: count 0..9
  n becomes n + 1 when glow.on starts and n < 5
  claim again: always possible n >= limit
  claim back: not glow.on returns within 4 ticks
  claim least: glow.on lasts at least 3 ticks
  claim anyhow: from anywhere: never n > limit + 4
}"""
RANGE = """design range {
  tick 100 ms
  setting many = 5 tunable 0 .. 6
  free ask: signal
  keep n: count 0..many = 2
  n becomes n - 1 when ask and n > 0
  claim down: possible n = 0 within 5 ticks
}"""
LIMITS = """design limits {
  tick 100 ms
  setting limit = 1 tick tunable 1 tick .. 5 ticks
  setting wait = 3 ticks tunable 1 tick .. 3 ticks
  free ask: signal
  mains : supply(2)
  late : on_delay(wait)
  mains -> late
  late.start when ask
  claim soon: possible late.on within limit
  claim slow: late.on no sooner than 3 ticks
}"""
NUMBERS = """design numbers {
  tick 100 ms
  setting many = 6 tunable 1 .. 6
  free ask: signal
  keep n: count 0..9
  n becomes n + 1 when ask and n < 4
  claim comes: possible n = many within 3 ticks
  claim some: possible n > 6 - many
}"""
LAMP = """design lamp {
  tick 100 ms
  setting burns = 2 ticks tunable 1 tick .. 9 ticks
  setting other = 2 ticks tunable 1 tick .. 3 ticks
  free ask: signal
  mains : supply(2)
  glow : pulse(burns)
  mains -> glow
  glow.start when ask
  keep rest: timer
  rest loads other when ask
  claim enough: glow.on lasts at least 6 ticks
  claim saving: glow.on lasts at most 4 ticks
  claim calm: never rest > 2 ticks
}"""


def found(rig: Rig, goal: Goal, most: int = 300) -> Found:
    with Search(rig.with_effort(rig.effort), most) as search:
        return search.find(claims_of(rig, stand(rig.dials)), goal)


@pytest.mark.parametrize(
    "text",
    [REACH, OPEN, RANGE, NUMBERS, LIMITS],
    ids=["reach", "open", "range", "numbers", "limits"],
)
def test_what_is_found_is_the_best_of_the_grid(text: str) -> None:
    rig = rig_of(text)
    claims = claims_of(rig, stand(rig.dials))
    designs = [at for at in grid(rig) if rig.system(at) is not None]
    serving = [at for at in designs if holds(rig, at, claims)]
    for aim, best in ((Aim.LEAST, min), (Aim.MOST, max)):
        one = found(rig, Goal(aim, 0))
        assert one.best
        assert one.at in serving
        assert one.at[0] == best(at[0] for at in serving)


def test_settings_that_make_no_design_are_ruled_out_whatever_is_asked() -> None:
    rig = rig_of(RANGE)
    with Search(rig, 50) as search:
        search.find(["down"], Goal(Aim.LEAST, 0))
        assert [one.at for one in search.regions[""]] == [(0,), (1,)]


def test_a_region_that_does_not_keep_its_word_is_dropped(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Region, "run", lambda *_: None)
    rig = rig_of(LAMP)
    with Search(rig, 300) as search:
        best = search.find(["enough", "calm"], Goal(Aim.LEAST, 0))
    assert best.at == (6, 2)
    assert search.dropped
    for one in (each for regions in search.regions.values() for each in regions):
        assert [at for at in grid(rig) if one.holds(at)] == [one.at]


# --- what ends a search ---------------------------------------------------------------------------


def test_the_calls_allowed_are_used_up() -> None:
    one = found(rig_of(LAMP), Goal(), most=0)
    assert (one.at, one.spent, one.closed, one.lacks) == (None, True, False, "")


def test_the_solver_cannot_say_what_is_open(monkeypatch: pytest.MonkeyPatch) -> None:
    def gives_up(*_: object) -> Setting:
        raise TimeoutError("it gave up")

    monkeypatch.setattr(Openings, "find", gives_up)
    one = found(rig_of(LAMP), Goal())
    assert (one.at, one.spent, one.best, one.lacks) == (None, True, False, "it gave up")


def test_too_much_stays_unknown(monkeypatch: pytest.MonkeyPatch) -> None:
    unknown = Outcome(Verdict.UNKNOWN, reason="time was up")
    monkeypatch.setattr(Rig, "decide", lambda *_: unknown)
    wide = LAMP.replace(".. 9 ticks", ".. 60 ticks")
    one = found(rig_of(wide), Goal())
    assert (one.at, one.spent, len(one.unsure)) == (None, True, MOST_UNSURE)
    assert {(each.claim, each.reason) for each in one.unsure} == {("fed", "time was up")}


# --- clashes --------------------------------------------------------------------------------------


def test_of_claims_that_clash_only_those_that_are_needed_are_told() -> None:
    """By hand: on for at least 6 and at most 4 ticks cannot be; the timer has no part in that."""
    rig = rig_of(LAMP)
    claims = ["calm", "enough", "saving"]
    with Search(rig, 300) as search:
        one = retuned(search, claims, Goal())
    assert one.none
    assert one.size == 27
    assert one.clash is not None
    assert set(one.clash.claims) == {"enough", "saving"}
    for claim, at in zip(one.clash.claims, one.clash.without, strict=True):
        assert at is not None
        assert holds(rig, at, [name for name in claims if name != claim])


def test_of_more_claims_than_are_looked_through_each_is_left_out_in_turn(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("verifier.tuning.clash.MOST_TOGETHER", 0)
    more = LAMP.replace("  claim calm", "  claim less: glow.on lasts at most 8 ticks\n  claim calm")
    with Search(rig_of(more), 300) as search:
        search.find(["enough"], Goal(Aim.MOST, 0))
        search.find(["less"], Goal(Aim.MOST, 0))
        search.find(["enough", "less", "saving"], Goal())
        assert {"enough", "less", "saving"} <= search.regions.keys()
        found_ = clash(search, ["less", "enough", "saving"])
    assert set(found_.claims) == {"enough", "saving"}


def test_where_the_solver_cannot_tell_all_that_fail_are_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    class Silent(Openings):
        def find(self, *_: object) -> Setting | None:
            raise TimeoutError("it gave up")

    with Search(rig_of(LAMP), 300) as search:
        search.find(["enough", "saving"], Goal())
        monkeypatch.setattr("verifier.tuning.clash.Openings", Silent)
        assert set(clash(search, ["enough", "saving"]).claims) == {"enough", "saving"}
