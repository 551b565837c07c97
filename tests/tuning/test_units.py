"""Units against plain arithmetic on trees of taps, and against small designs worked out by hand.

LATCHWORK_TREES asks for more trees (40 unless given), LATCHWORK_FIRST_SEED for other ones.
"""

import os
import random
from pathlib import Path

import pytest

from tests.tuning.ready import DESIGNS, DRY, made
from tests.tuning.trees import (
    all_fed,
    least_fixed,
    least_free,
    random_tree,
    set_to,
    text_of,
)
from tests.tuning.trees import (
    needs_of as tree_needs,
)
from verifier.design import files
from verifier.design.resolve import Wishes, designs_in, resolve
from verifier.engines.decide import Decider, Effort
from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.system.model import Question, System
from verifier.tuning import supply_least
from verifier.tuning.supply import NO_DESIGN, Bench, knobs, sources, turned
from verifier.tuning.supply_least import Least, least_of
from verifier.tuning.supply_taps import NoSettings, Settings, settings_of
from verifier.tuning.units import Extreme, Gets, Needs, draws_of, needs_of
from verifier.verdict.answer import Outcome, Verdict

TREES = int(os.environ.get("LATCHWORK_TREES", "40"))
FIRST = int(os.environ.get("LATCHWORK_FIRST_SEED", "0"))
EFFORT = Effort(2.0)


def bench_of(text: str) -> Bench:
    unit = files.of_source(Source("units.latch", text), Path("units.latch"), Collector())
    assert unit is not None
    (block,) = designs_in(unit)
    return Bench(block, unit, Wishes(), EFFORT)


def settings(text: str) -> Settings | NoSettings | None:
    bench = bench_of(text)
    design = made(text)
    return settings_of(bench, design, knobs(bench.block, bench.unit, design))


def least(text: str, parameter: str = "amount", more: int = 8) -> Least:
    bench = bench_of(text)
    design = made(text)
    found = sources(design, knobs(bench.block, bench.unit, design))
    return least_of(bench, next(one for one in found if one.parameter == parameter), more)


def gets(needs: Needs) -> dict[str, Gets]:
    return {one.part: one for one in needs.parts}


def ends(one: Extreme | None) -> tuple[int, bool]:
    assert one is not None
    return one.met, one.exact


# --- trees ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(FIRST, FIRST + TREES))
def test_taps_are_set_as_trying_all_settings_says(seed: int) -> None:
    dice = random.Random(seed)
    tree = random_tree(dice, dice.choice((1, 2, 2, 2, 3)) if tree_small(seed) else 2)
    text = text_of(tree, 3)
    found = settings(text)
    assert isinstance(found, Settings)
    ((_, supply),) = found.sources
    assert supply == least_free(tree)
    assert found.least
    assert found.serves
    amounts = [value for _, value in found.taps]
    assert all_fed(set_to(tree, amounts), supply)


def tree_small(seed: int) -> bool:
    """Whether trying all settings of three taps takes no time to speak of."""
    return tree_needs(random_tree(random.Random(seed), 3)) <= 9


@pytest.mark.parametrize("seed", range(FIRST, FIRST + TREES // 4))
def test_the_least_supply_is_the_one_that_trying_each_finds(seed: int) -> None:
    dice = random.Random(seed)
    tree = random_tree(dice, 2)
    most = tree_needs(tree) + 4
    wanted = least_fixed(tree, most + 1)
    found = least(text_of(tree, most), more=1)
    if wanted is None:
        assert found.left_out
        return
    assert found.value == wanted
    assert found.shown
    assert not found.left_out
    assert all(one.holds is all_fed(tree, one.value) for one in found.tried)


@pytest.mark.parametrize("seed", range(FIRST, FIRST + TREES // 4))
def test_what_loads_get_is_what_arithmetic_says(seed: int) -> None:
    dice = random.Random(1000 + seed)
    tree, supply = random_tree(dice, 2), dice.randint(1, 12)
    found = needs_of(made(text_of(tree, supply)), EFFORT)
    enough = all(one.enough for one in found.parts)
    assert enough == all_fed(tree, supply)
    assert all(one.dry or one.least is not None for one in found.parts)


# --- the tap chain --------------------------------------------------------------------------------


def test_the_tap_chain_as_it_stands() -> None:
    text = (DESIGNS / "tap_chain.latch").read_text(encoding="utf-8")
    needs = needs_of(made(text), EFFORT)
    parts = gets(needs)
    assert {name: ends(one.least) for name, one in parts.items()} == {
        "lamps": (2, True),
        "mist": (3, True),
        "pump": (1, True),
    }
    assert ends(parts["pump"].most) == (4, True)
    assert parts["pump"].starves
    assert ends(needs.drawn) == (9, True)
    # By hand: lamps 2, mist 3, pump 4, and taps that let just so much aside.
    found = settings(text)
    assert isinstance(found, Settings)
    assert found.sources == (("mains", 9),)
    assert [(knob.part, value) for knob, value in found.taps] == [
        ("for_lamps", 2),
        ("for_mist", 3),
    ]
    assert found.serves
    assert found.least


def test_the_mended_chain_needs_all_that_it_has() -> None:
    text = (DESIGNS / "tap_chain_mended.latch").read_text(encoding="utf-8")
    for parameter, value in (("amount", 9), ("drops", 6)):
        found = least(text, parameter)
        assert (found.value, found.shown, found.left_out) == (value, True, ())
        assert found.refuted is not None
        assert found.refuted.claim == "fed"
        assert found.refuted.outcome.trace is not None
    switched = settings(text)
    assert isinstance(switched, NoSettings)
    assert switched.switched


# --- more is not always better --------------------------------------------------------------------


PICKY = """
design picky {
  mains : supply(7)
  lamp : load(needs: 2)
  mains -> lamp
  claim odd: always mains.out mod 3 = 1
}
"""


def test_nothing_is_concluded_from_one_amount_about_another() -> None:
    found = least(PICKY)
    assert [one.value for one in found.tried if one.holds] == [4, 7]
    assert found.value == 4
    assert found.shown
    assert [one.value for one in found.holes] == [5, 6]
    assert {one.claim for one in found.holes} == {"odd"}


def test_a_larger_supply_is_looked_for_where_the_present_one_fails() -> None:
    found = least(PICKY.replace("supply(7)", "supply(2)"))
    assert (found.value, found.shown, found.left_out) == (4, True, ())


def test_claims_that_no_amount_mends_are_left_out() -> None:
    text = PICKY.replace("claim odd", "claim dark: never lamp\n  claim odd")
    found = least(text)
    assert found.left_out == ("dark",)
    assert found.value == 4
    assert found.above


def test_a_part_that_no_amount_feeds_is_left_out_by_name() -> None:
    found = least(DRY, more=1)
    assert (found.value, found.parts_left_out, found.claims_left_out) == (1, ("far",), ())
    found = least(DRY.replace("always near", "never near"), more=1)
    assert (found.parts_left_out, found.claims_left_out) == (("far",), ("lit",))


@pytest.mark.parametrize(("now", "tried"), [(7, range(8)), (1201, (*range(5), 1201))])
def test_below_a_large_amount_they_are_tried_from_nothing_on(now: int, tried: range) -> None:
    found = least(PICKY.replace("supply(7)", f"supply({now})"))
    assert [one.value for one in found.tried] == list(tried)
    assert (found.value, found.shown) == (4, True)
    assert found.untried == ((range(5, 1201),) if now == 1201 else ())


def test_where_no_small_amount_serves_large_ones_are_tried_downward(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(supply_least, "MOST", 3)
    text = PICKY.replace("mod 3 = 1", ">= 18").replace("supply(7)", "supply(20)")
    found = least(text)
    assert [one.value for one in found.tried] == [0, 1, 2, 17, 18, 19, 20]
    assert (found.value, found.shown) == (18, False)
    assert found.untried == (range(3, 17),)
    found = least(text.replace("supply(20)", "supply(5)").replace(">= 18", ">= 1"))
    assert [one.value for one in found.tried if one.holds] == [2, 5]  # the lamp needs two
    assert found.untried == (range(3, 5),)


def test_amounts_that_were_not_tried_are_not_called_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(supply_least, "MOST", 3)
    found = least(PICKY.replace("  claim odd: always mains.out mod 3 = 1\n", ""))
    assert [one.value for one in found.tried] == [0, 1, 2, 7]
    assert (found.value, found.shown) == (2, True)
    found = least(PICKY.replace("mod 3 = 1", ">= 3"))
    assert [one.value for one in found.tried] == [0, 1, 2, 4, 5, 6, 7]
    assert found.value == 4
    assert not found.shown  # by hand: 3 would serve too


# --- timed designs --------------------------------------------------------------------------------


SHARED = """
design shared {
  tick 1 s
  ask : button
  call : button
  mains : supply(3)
  aside : tap(2)
  one : relay
  two : relay
  lamp : load(needs: 2)
  bell : load(needs: 2)
  mains -> one.feed
  one.make -> aside
  aside.side -> lamp
  one.break -> two.feed
  two.make -> bell
  ask -> one.coil
  call -> two.coil
}
"""


def test_presses_count_and_two_that_are_never_fed_at_once_do_not_add_up() -> None:
    found = needs_of(made(SHARED), EFFORT)
    parts = gets(found)
    assert ends(parts["lamp"].most) == (2, True)
    assert ends(parts["bell"].most) == (3, True)
    assert parts["lamp"].idle is not None
    assert parts["bell"].enough
    assert ends(found.drawn) == (2, True)


def test_a_part_that_nothing_reaches_is_dry() -> None:
    text = "design dry {\n mains : supply(2)\n t : tap(2)\n lamp : lamp\n mains -> t\n"
    found = gets(needs_of(made(text + " t.rest -> lamp\n}"), EFFORT))
    assert found["lamp"].dry
    assert not found["lamp"].enough


def test_amounts_are_rewritten_in_the_tree() -> None:
    text = "design d {\n mains : supply(amount: 9, drops: 6)\n lamp : lamp\n mains -> lamp\n}"
    bench = bench_of(text)
    found = knobs(bench.block, bench.unit, made(text))
    assert [(one.part, one.parameter, one.now) for one in found] == [
        ("mains", "amount", 9),
        ("mains", "drops", 6),
    ]
    again = resolve(turned(bench.block, {found[1]: 4}), bench.unit, Collector())
    assert again is not None
    assert dict(again.parts[0].arguments) == {"amount": "9", "drops": "4"}


# --- what is put in the places of amounts ---------------------------------------------------------

YARD = """
design yard {
  mains : supply(3)
  spare : own(1 + 1, 4)
  row[1..2] : load(1)
  pump : load(needs: 2)
  walk : busbar(ways: 2)
  mains -> walk.feed[1]
  spare -> walk.feed[2]
  walk -> pump
}
kind own(gives: units, count_: count) "gives what it is told" {
  out out: power = gives
}
"""


def test_amounts_of_units_that_stand_in_the_design_can_be_changed() -> None:
    """Not those of several parts at once, nor numbers of other sorts."""
    bench, design = bench_of(YARD), made(YARD)
    found = knobs(bench.block, bench.unit, design)
    assert [(one.part, one.parameter, one.now) for one in found] == [
        ("mains", "amount", 3),
        ("spare", "gives", 2),
        ("pump", "needs", 2),
    ]
    assert [one.part for one in sources(design, found)] == ["mains", "spare"]


ASSUMED = """
design assumed {
  mains : supply(3)
  lamp : load(needs: 2)
  mains -> lamp
  assume always lamp.fed
  claim odd: always mains.out mod 2 = 1
}
"""


def test_an_amount_with_which_no_run_counts_does_not_serve() -> None:
    found = least(ASSUMED)
    assert [(one.value, one.holds, one.claim) for one in found.tried] == [
        (0, False, ""),
        (1, False, ""),
        (2, False, "odd"),
        (3, True, None),
    ]
    assert found.tried[0].outcome.reason == NO_DESIGN
    assert found.shown


def test_a_design_none_of_whose_runs_counts_has_no_claims_that_stand() -> None:
    assert bench_of(ASSUMED.replace("supply(3)", "supply(1)")).standing() == ((), ())


def test_what_is_not_known_is_neither_proved_nor_refuted(monkeypatch: pytest.MonkeyPatch) -> None:
    known = Bench.decide

    def decide(self: Bench, system: System, question: Question) -> Outcome:
        if question.name == "odd":
            return Outcome(Verdict.UNKNOWN, reason="time was up")
        return known(self, system, question)

    monkeypatch.setattr(Bench, "decide", decide)
    text = PICKY.replace("claim odd", "claim fine: possible lamp\n  claim odd")
    assert bench_of(text).standing() == ((), ("odd",))
    found = least(text)
    assert (found.unsettled, found.left_out, found.value) == (("odd",), (), 2)
    bench = bench_of(text)
    knob = knobs(bench.block, bench.unit, made(text))[0]
    tried = bench.tried(4, {knob: 4}, ())
    assert (tried.holds, tried.claim, tried.outcome.reason) == (None, "odd", "time was up")


def test_without_a_tap_nothing_is_proposed() -> None:
    assert settings(YARD) is None


TAPPED = """
design tapped {
  mains : supply(9)
  first : tap(2)
  other : load(needs: 2)
  last : load(needs: 3)
  mains -> first
  first.side -> other
  first.rest -> last
}
"""


def test_a_source_that_a_tap_leaves_dry_is_given_more() -> None:
    text = TAPPED.replace("first.rest -> last", "none : supply(0)\n  none -> last")
    found = settings(text)
    assert isinstance(found, Settings)
    assert dict(found.sources) == {"mains": 2, "none": 3}


def test_where_no_amounts_serve_it_is_said() -> None:
    weak = 'kind weak "lets one unit through" {\n  in feed: power\n'
    weak += "  out out: power = 1 when feed >= 1 else 0\n}\n"
    text = TAPPED.replace("first.rest -> last", "few : weak\n  first.rest -> few -> last") + weak
    assert settings(text) == NoSettings(words="none serve")


def test_amounts_with_which_no_run_counts_are_not_said_to_serve() -> None:
    text = TAPPED.replace("  mains -> first", "  assume always mains.out = 9\n  mains -> first")
    found = settings(text)
    assert isinstance(found, Settings)
    assert (dict(found.sources), found.serves) == ({"mains": 5}, False)


def test_bounds_are_left_where_nothing_more_is_known(monkeypatch: pytest.MonkeyPatch) -> None:
    """No answer proves nothing: what was met and what is proved stay apart."""
    unknown = Outcome(Verdict.UNKNOWN, reason="time was up")
    monkeypatch.setattr(Decider, "decide", lambda *_: unknown)
    needs = needs_of(made(SHARED), EFFORT)
    assert all(one.least is None and not one.dry and not one.enough for one in needs.parts)
    assert needs.drawn is not None
    assert (needs.drawn.met, needs.drawn.proved, needs.drawn.exact) == (0, 4, False)
    ends_ = draws_of(made(SHARED), EFFORT)
    assert ends_ is not None
    assert [(one.met, one.proved, one.exact) for one in ends_] == [(0, 0, True), (0, 4, False)]


def test_what_is_drawn_at_first_is_a_bound_that_a_run_shows(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    unknown = Outcome(Verdict.UNKNOWN, reason="time was up")
    monkeypatch.setattr(Decider, "decide", lambda *_: unknown)
    found = draws_of(
        made("design d {\n mains : supply(2)\n lamp : lamp\n mains -> lamp\n}"), EFFORT
    )
    assert found is not None
    assert [(one.met, one.proved, one.exact) for one in found] == [(1, 0, False), (1, 1, True)]


def test_where_nothing_needs_units_nothing_is_drawn() -> None:
    assert draws_of(made("design d {\n  ask : button\n}\n"), EFFORT) is None
