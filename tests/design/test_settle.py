"""How state changes, from text: what may change, in which order, and what units leave."""

import pytest

from tests.design.make import codes, design, net, resolved, says, timer
from verifier.design.model import (
    Add,
    Case,
    Design,
    Fixed,
    Live,
    Load,
    Not,
    Option,
    Read,
    ReadPick,
    Term,
    Truth,
)

YES, NO = Truth(value=True), Truth(value=False)

# --- what becomes --------------------------------------------------------------------------------

PLACES = (
    "kind k {{ keep inner: flag  inner becomes yes }}"
    " design d {{ tick 1 s  one : k  free p: signal  free q: signal  let word = p"
    "  keep lit: flag  keep lits[1..2]: flag  keep n: count 2 .. 4  keep left: timer"
    "  keep mood: one of (calm, wild)  free odd: one of (calm, odd)"
    "  free like: one of (calm, wild)  {line} }}"
)


def cases(found: Design, path: str) -> tuple[Case, ...]:
    """Return what kept state becomes."""
    return next(one.cases for one in found.kept if one.net.path == path)


def test_cases_keep_their_order_and_the_last_may_hold_always() -> None:
    found = design(PLACES.format(line="lit becomes q when p, yes when q, not p"))
    p, q = Live(net(found, "p")), Live(net(found, "q"))
    assert cases(found, "lit") == (Case(q, p), Case(YES, q), Case(Not(p), YES))


@pytest.mark.parametrize(
    ("name", "new", "value"),
    [
        ("lit", "yes", YES),
        ("lit", "no", NO),
        ("n", "2", Fixed(2)),
        ("n", "4", Fixed(4)),
        ("mood", "calm", Option(0)),
        ("mood", "wild", Option(1)),
    ],
)
def test_what_is_in_order_becomes_the_value(name: str, new: str, value: Term) -> None:
    found = design(PLACES.format(line=f"{name} becomes {new}"))
    assert cases(found, name) == (Case(value, YES),)


def test_a_count_and_a_choice_become_what_others_are() -> None:
    found = design(PLACES.format(line="n becomes n + 1 when p  mood becomes like when q"))
    one_more = Add(Read(net(found, "n")), Fixed(1))
    assert cases(found, "n") == (Case(one_more, Live(net(found, "p"))),)
    assert cases(found, "mood") == (Case(ReadPick(net(found, "like")), Live(net(found, "q"))),)


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("n becomes 1", "out-of-range"),
        ("n becomes 5", "out-of-range"),
        ("n becomes 3 s", "wrong-type"),
        ("n becomes p", "wrong-type"),
        ("lit becomes n", "no-condition"),
        ("lit becomes 1 .. 2", "wrong-type"),
        ("mood becomes odd", "wrong-type"),
        ("mood becomes p", "other-option"),
        ("left becomes yes", "wrong-type"),
        ("word becomes yes", "wrong-type"),
        ("lits becomes yes", "wrong-type"),
        ("one.inner becomes no", "wrong-type"),
        ("lit becomes yes  lit becomes no", "twice"),
        ("lits[1] becomes yes  lits[1] becomes no", "twice"),
    ],
)
def test_what_cannot_become_that_is_refused(line: str, code: str) -> None:
    assert codes(PLACES.format(line=line)) == [code]


# --- timers --------------------------------------------------------------------------------------

CLOCKS = (
    "kind k {{ keep inner: timer  inner loads 2 s }}"
    " design d {{ tick 1 s  {head}  one : k  free p: signal  free q: signal  keep lit: flag"
    "  keep left: timer  keep other: timer  keep row[1..2]: timer  {line} }}"
)


def test_a_timer_of_a_row_has_loads_of_its_own() -> None:
    found = design(CLOCKS.format(head="", line="row[2] loads 3 s when p  row[1] runs while q"))
    p, q = Live(net(found, "p")), Live(net(found, "q"))
    assert timer(found, "row[1]").loads == ()
    assert timer(found, "row[1]").runs == q
    (load,) = timer(found, "row[2]").loads
    assert load == Load(p, 3, 3, turned=False, span=load.span)
    assert timer(found, "row[2]").runs == YES


@pytest.mark.parametrize(
    ("head", "span", "found"),
    [
        ("", "5 s - left", (5, 5, True)),
        # A time less a fixed time is a shorter time, not a glass turned over.
        ("setting short = 2 s", "5 s - short", (3, 3, False)),
        ("", "5 s - 2 s", (3, 3, False)),
        ("tolerance 20 %", "5 s - 2 s", (2, 4, False)),
        ("tolerance 20 %", "0 s", (0, 0, False)),
        ("tolerance 20 %", "1 tick", (1, 1, False)),
        ("tolerance 20 %", "5 s - left", (5, 5, True)),
    ],
)
def test_a_span_is_turned_where_the_timer_itself_is_taken_away(
    head: str, span: str, found: tuple[int, int, bool]
) -> None:
    (load,) = timer(design(CLOCKS.format(head=head, line=f"left loads {span}")), "left").loads
    assert (load.low, load.high, load.turned) == found
    assert load.span.text == span.removesuffix(" - left")


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("left loads 5 s - other", "wrong-type"),
        ("left loads 5 s + left", "wrong-unit"),
        ("left loads 5 - left", "wrong-unit"),
        ("lit loads 2 s", "wrong-type"),
        ("row loads 2 s", "wrong-type"),
        ("one loads 2 s", "wrong-type"),
        ("one.inner loads 2 s", "wrong-type"),
        ("left loads 2 s  left loads 3 s when p", "twice"),
        ("lit runs while p", "wrong-type"),
        ("row runs while p", "wrong-type"),
        ("one.inner runs while p", "wrong-type"),
        ("left runs while p  left runs while q", "twice"),
        ("left runs while 2 s", "no-condition"),
        ("left loads 1500 ms", "off-tick"),
        ("left loads 1 s .. 1500 ms", "off-tick"),
        ("left loads 500 ms .. 2 s", "off-tick"),
    ],
)
def test_what_a_timer_cannot_do_is_refused(line: str, code: str) -> None:
    assert codes(CLOCKS.format(head="", line=line)) == [code]


MOST = 10**15 - 1
"""Spans of 15 digits of ticks are in order: certificates hold no longer numbers."""


@pytest.mark.parametrize(
    ("head", "span", "told"),
    [
        ("", f"{MOST} ticks", []),
        ("", f"{MOST + 1} ticks", ["too-long"]),
        ("", f"1 s .. {MOST + 1} ticks", ["too-long"]),
        ("tolerance 50 %", f"{2 * MOST // 3} ticks", []),
        ("tolerance 50 %", f"{2 * MOST // 3 + 2} ticks", ["too-long"]),
    ],
)
def test_no_timer_is_loaded_with_more_ticks_than_are_reckoned_with(
    head: str, span: str, told: list[str]
) -> None:
    assert codes(CLOCKS.format(head=head, line=f"left loads {span}")) == told


def test_the_end_of_a_timer_asks_whether_it_runs() -> None:
    line = "left loads 3 s when p  left runs while q  let last = left ends"
    text = CLOCKS.format(head="", line=line)
    for shows in range(3):
        for runs in range(2):
            assert says(text, "last", left=shows, q=runs) == (shows == 1 and runs == 1)


LINES = (
    *("left loads 3 s when p", "left runs while q", "lit becomes p when q", "keep lit: flag"),
    *("keep left: timer", "free p: signal", "free q: signal", "tick 1 s"),
)


@pytest.mark.parametrize("turn", range(len(LINES)))
def test_the_order_of_lines_has_no_meaning(turn: int) -> None:
    """Each of them stands first once, and each stands last once."""
    found = design(f"design d {{ {'  '.join((*LINES[turn:], *LINES[:turn]))} }}")
    p, q = Live(net(found, "p")), Live(net(found, "q"))
    (load,) = timer(found, "left").loads
    assert (load.condition, load.low, load.high) == (p, 3, 3)
    assert timer(found, "left").runs == q
    assert cases(found, "lit") == (Case(p, q),)


# --- units ---------------------------------------------------------------------------------------

LAMP = (
    "kind glow {{ uses {draw} of feed  in feed: power  out rest: power = spare"
    "  let full = fed  let short = starving  for i in 0..5 {{ let over[i] = spare = i }} }}"
    " design d {{ free press: signal  mains : supply({supply})  one : glow  two : lamp"
    "  {wire}  one.rest -> two.feed }}"
)


@pytest.mark.parametrize("draw", range(4))
@pytest.mark.parametrize("supply", range(1, 5))
def test_a_part_is_fed_by_all_that_it_uses_and_starves_by_some(draw: int, supply: int) -> None:
    """What is left over is what comes less what is used; nothing is left over while not fed."""
    for wire, comes in (("mains -> one", supply), ("", 0)):
        fed = comes >= draw
        left = comes - draw if fed else 0
        text = LAMP.format(draw=draw, supply=supply, wire=wire)
        assert says(text, "one.full") == fed
        assert says(text, "one.short") == (0 < comes < draw)
        for over in range(6):
            assert says(text, f"one.over[{over}]") == (over == left)


@pytest.mark.parametrize(
    "feed",
    ["out", "sign", "kept", "row", "left", "calm"],
)
def test_units_are_used_of_a_power_input_only(feed: str) -> None:
    text = (
        "kind k { in sign: signal  in row[1..2]: power  out out: power = row[1]  keep kept: flag"
        f"  keep left: timer  let calm = row[2]  uses 1 of {feed} }} design d {{ one : k }}"
    )
    assert [one for one in codes(text) if one not in {"unwired", "never-live"}] == ["wrong-type"]


def test_no_part_uses_less_than_nothing() -> None:
    """It would give more than it gets: 3 units from a supply of 2."""
    less, none = (
        LAMP.format(draw=draw, supply=2, wire="mains -> one") for draw in ("1 - 2", "1 - 1")
    )
    assert codes(less) == ["out-of-range"]
    assert codes(none) == []


def test_units_are_used_once() -> None:
    text = "kind k { in a: power  in b: power  uses 1 of a  uses 1 of b } design d { one : k }"
    told = [one.headline for one in resolved(text)[1] if one.code != "unwired"]
    assert told == ["a kind says only once what it `uses`"]
