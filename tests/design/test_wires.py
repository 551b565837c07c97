"""Wires: what may feed what, and what is told where it may not."""

import pytest

from tests.design.make import codes, design, net, resolved
from verifier.design.model import Live, Number, Read

HEAD = "mains : supply(9)  split : divider(ways: 3)  mains -> split  ask : button  "


@pytest.mark.parametrize(
    ("wires", "code"),
    [
        ("a : lamp  split.way[1] -> a", None),
        ("a : lamp  b : lamp  split.way[1] -> a  split.way[1] -> b", "split-power"),
        ("a : lamp  split.way[1] -> a  split.way[2] -> a", "two-wires"),
        ("a : lamp  ask -> a.feed", "signal-into-power"),
        ("a : lamp  ask -> a", "signal-into-power"),
        ("a : lamp  b : lamp  a -> b", "signal-into-power"),
        ("a : and_gate  a.out -> ask", "no-port"),
        ("a : not_gate  split.way[4] -> a", "row-index"),
        ("a : not_gate  split.way -> a", "row-index"),
        ("a : not_gate  split.ways -> a", "not-a-source"),
        ("a : not_gate  ask -> a.inn", "unknown-port"),
        ("a : not_gate  ask -> b", "unknown-name"),
        ("a : not_gate  a.out when ask", "not-a-target"),
        ("a : lamp  a.feed when ask", "signal-into-power"),
        ("a : not_gat", "unknown-kind"),
        ("a : lamp(draw: 1, draw: 2)", "twice"),
        ("a : pulse", "argument"),
        ("a : pulse(3 s, no, 1, 5)", "argument"),
        ("a : pulse(spam: 3 s)", "argument"),
        ("ask : lamp", "twice"),
    ],
)
def test_what_may_be_wired(wires: str, code: str | None) -> None:
    told = [one for one in codes(f"design d {{ {HEAD} {wires} }}") if one != "unwired"]
    assert told == ([] if code is None else [code])


def test_all_mistakes_are_told_in_one_run() -> None:
    text = f"design d {{ {HEAD} a : lmp  b : pulse(3)  ask -> c  let x = y  claim z: never w }}"
    found = codes(text)
    assert found == ["unknown-kind", "wrong-unit", "unknown-name", "unknown-name", "unknown-name"]


def test_power_feeds_signals_by_its_first_unit_and_takes_nothing() -> None:
    found = design(
        f"design d {{ {HEAD} a : lamp  b : not_gate  split.way[1] -> a  split.way[1] -> b.input }}"
    )
    assert net(found, "a.feed").term == Read(net(found, "split.way[1]"))
    assert {one.path for one in found.nets if one.power} >= {"a.feed", "split.way[1]"}


def test_a_loop_without_state_is_told_port_by_port() -> None:
    text = "design d { a : not_gate  b : or_gate  a -> b  b -> a }"
    found, told = resolved(text)
    loops = [one for one in told if one.code == "loop"]
    assert found is None
    assert len(loops) == 1
    for path in ("`a.out`", "`b.out`"):
        assert path in loops[0].notes[0]


@pytest.mark.parametrize(
    "text",
    [
        "design d { keep t: timer  t runs while not t ends }",
        "design d { keep t: timer  let last = t ends  t runs while last }",
        "design d { keep t: timer  keep u: timer  t runs while u ends  u runs while t ends }",
    ],
)
def test_a_timer_that_runs_by_its_own_end_is_a_loop(text: str) -> None:
    """`X ends` asks whether X runs now, so it cannot be what X runs while."""
    found, told = resolved(text)
    loops = [one for one in told if one.code == "loop"]
    assert found is None
    assert len(loops) == 1
    assert "`t`" in loops[0].notes[0]


def test_a_timer_may_run_by_the_end_of_another() -> None:
    text = "design d { keep t: timer = 2 ticks  keep u: timer = 5 ticks  u runs while t ends }"
    assert codes(text) == []


def test_a_relay_breaks_a_loop() -> None:
    text = "design d { a : not_gate  b : latch  a -> b.set  b -> a }"
    assert "loop" not in codes(text)


def test_a_let_defined_by_itself_is_told_once() -> None:
    assert codes("design d { let a = b  let b = not a  claim c: never a }") == ["circle"]


def test_amounts_know_their_range() -> None:
    found = design(
        "design d { mains : supply(7)  cut : tap(3)  a : load(1)  b : load(1)"
        "  mains -> cut  cut.side -> a  cut.rest -> b }"
    )
    assert net(found, "cut.side").shape == Number(0, 3, units=True) or net(
        found, "cut.side"
    ).shape == Number(3, 3, units=True)
    shape = net(found, "b.feed").shape
    assert isinstance(shape, Number)
    assert shape.high >= 4


def test_power_that_could_go_below_zero_is_refused() -> None:
    kind = "kind bad { in feed: power  out out: power = feed - 2 } "
    good = "kind good { in feed: power  out out: power = feed - 2 when feed >= 2 else 0 } "
    parts = "on : lever  mains : supply(3, drops: 1)  a : {name}  b : lamp"
    body = f"{parts}  on -> mains.told  mains -> a -> b"
    assert "below-zero" in codes(f"{kind} design d {{ {body.format(name='bad')} }}")
    assert "below-zero" not in codes(f"{good} design d {{ {body.format(name='good')} }}")


def test_an_output_that_can_never_be_live_is_warned_of() -> None:
    text = "design d { ask : button  a : and_gate  ask -> a.input[1] }"
    assert "never-live" in codes(text)


def test_the_main_output_stands_for_the_part() -> None:
    found = design("design d { ask : button  let pressed = ask }")
    assert net(found, "pressed").term == Live(net(found, "ask.out"))


@pytest.mark.parametrize(
    ("wires", "quoted"),
    [
        ("a : relay  ask -> a.coil\n  .pulled -> a", "a.coil .pulled"),
        ("a : lamp  split  # the\n.way[1] -> ask", "split .way[1]"),
        ("a : not_gate  b : lamp  a\n .out -> b", "a .out"),
    ],
)
def test_what_stands_in_two_lines_is_quoted_in_one(wires: str, quoted: str) -> None:
    _, told = resolved(f"design d {{ {HEAD} {wires} }}")
    headlines = [one.headline for one in told]
    assert any(f"`{quoted}`" in headline for headline in headlines), headlines
    assert not any("\n" in headline for headline in headlines)
