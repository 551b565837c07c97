"""Rhythms against closed forms, at any span and tick, and against single ticks.

The closed forms are worked out by hand from docs/semantics.md: a part that keeps state answers one
tick after its cause, so a ring of n timers has a period of all its spans and n ticks.
"""

import random
from fractions import Fraction

import pytest

from tests.system.stepper import following, values
from tests.tuning.make import random_design
from tests.tuning.ready import made, shipped
from verifier.simulate.told import Held, played
from verifier.system.lower import lower
from verifier.system.state import State, start_of
from verifier.tuning.cycle import Astray, Loop
from verifier.tuning.rhythm import Beat, Rhythm, rhythm_of
from verifier.tuning.rhythm_items import items_of
from verifier.tuning.rhythm_stall import waits_of
from verifier.verdict.trace import Trace

TICKS = {"10 ms": 10, "100 ms": 100, "500 ms": 500}
SPANS = {"1 s": 1_000, "7 s": 7_000, "3 min": 180_000, "1 h": 3_600_000}


def rhythm(text: str, **values: str) -> Rhythm:
    design = made(text, **values)
    return rhythm_of(design, lower(design), Trace(()))


def loop(found: Rhythm) -> tuple[int, int]:
    assert isinstance(found.loop, Loop)
    assert found.loop.period is not None
    return found.loop.settles, found.loop.period


def beat(found: Rhythm, name: str) -> Beat:
    return next(one for one in found.beats if one.item.name == name)


def jumps(found: Rhythm) -> int:
    return found.loop.jumps


# --- closed forms ---------------------------------------------------------------------------------


@pytest.mark.parametrize("tick", TICKS)
@pytest.mark.parametrize("light", SPANS)
def test_grotto_is_lit_for_its_span_of_both_and_two_ticks(tick: str, light: str) -> None:
    text = shipped("grotto").replace("tick 10 ms", f"tick {tick}")
    text = "\n".join(line for line in text.splitlines() if "20 ms" not in line)
    found = rhythm(text, light=light, night="40 s")
    on, off = SPANS[light] // TICKS[tick], 40_000 // TICKS[tick]
    assert loop(found) == (0, on + off + 2)
    assert beat(found, "lamp").on == ((0, on),)
    assert beat(found, "lamp").share == Fraction(on, on + off + 2)
    assert beat(found, "gloom").on == ((on + 1, on + 1 + off),)
    # Both timers draw a unit all the time, the lamp one while it is lit.
    assert found.draw.average == 2 + Fraction(on, on + off + 2)


@pytest.mark.parametrize("turn", ["9 s", "20 s", "3 min", "1 h"])
def test_hedge_gates_stand_open_for_a_turn_less_the_way_of_the_leaf(turn: str) -> None:
    ticks = {"9 s": 90, "20 s": 200, "3 min": 1_800, "1 h": 36_000}[turn]
    text = "\n".join(line for line in shipped("hedge_gates").splitlines() if "claim" not in line)
    found = rhythm(text, turn=turn)
    settles, period = loop(found)
    assert (settles, period) == (1, 2 * ticks + 2 * 40 + 4)
    for gate in ("west", "east"):
        assert beat(found, f"{gate}.open").ticks == ticks - 40
        assert beat(found, f"{gate}.ajar").ticks == ticks + 40
    assert beat(found, "one_at_a_time").ticks == period


@pytest.mark.parametrize("dark", ["3 s", "1 min", "1 h"])
def test_fountain_strokes_once_in_lit_and_dark(dark: str) -> None:
    ticks = {"3 s": 30, "1 min": 600, "1 h": 36_000}[dark]
    found = rhythm(shipped("fountain").replace("dark: 3 s", f"dark: {dark}"))
    assert loop(found)[1] == 20 + ticks
    assert beat(found, "jets").on == ((0, 20),)
    # The rail answers a tick after the jets fall.
    assert beat(found, "rail").on == ((21, 31),)
    assert (found.draw.least, found.draw.most) == (2, 5)
    assert found.hands
    assert not found.varies


def test_work_goes_with_events_and_neither_with_spans_nor_ticks() -> None:
    looks = set()
    text = "\n".join(line for line in shipped("grotto").splitlines() if "20 ms" not in line)
    for tick in TICKS:
        for span in SPANS:
            ticked = text.replace("tick 10 ms", f"tick {tick}")
            looks.add(jumps(rhythm(ticked, light=span, night=span)))
    assert len(looks) == 1


def test_a_stretch_over_the_end_of_a_round_is_one() -> None:
    text = """
    design wrapped {
      tick 1 s
      sun : daylight(day: 3 s, night: 5 s)
      moon : daylight(day: 4 s, night: 4 s, starts: night)
      let both = sun.light or moon.light
    }"""
    found = rhythm(text)
    assert loop(found)[1] == 8
    assert [one.switchings for one in found.beats] == [1, 1, 1]
    assert beat(found, "both").ticks == 7


def test_the_whole_may_not_come_again_where_its_parts_do() -> None:
    rows = [f"f{n} : flasher(lit: {n} ticks, dark: {n + 1} ticks)" for n in (211, 223, 239)]
    wires = [f"feed.way[{n}] -> f{m}" for n, m in ((1, 211), (2, 223), (3, 239))]
    head = "mains : supply(3)\nfeed : divider(ways: 3)\nmains -> feed"
    found = rhythm("design long {\n" + "\n".join([head, *rows, *wires]) + "\n}")
    assert isinstance(found.loop, Astray)
    assert not found.lost
    assert [(one.period, one.ticks) for one in found.beats] == [
        (423, 211),
        (447, 223),
        (479, 239),
    ]


def test_an_amount_is_on_while_it_is_above_nothing_however_much_that_is() -> None:
    text = """
    design fed {
      tick 1 s
      sun : daylight(day: 3 s, night: 5 s)
      moon : daylight(day: 4 s, night: 4 s)
      weight : scales
      sun.light -> weight.one
      moon.light -> weight.other
    }
    kind scales "adds up what is live, a tick later" {
      in one: signal
      in other: signal
      keep at: count 0..2
      at becomes 2 when one and other, 1 when one or other, 0 when not one and not other
      out out: power = at
    }"""
    found = beat(rhythm(text), "weight")
    assert (found.ticks, found.switchings) == (4, 1)


def test_what_does_not_come_again_in_time_is_told_apart() -> None:
    rows = [f"f{n} : flasher(lit: {n} ticks, dark: {n + 1} ticks)" for n in (211, 223, 239)]
    wires = [f"feed.way[{n}] -> f{m}" for n, m in ((1, 211), (2, 223), (3, 239))]
    head = "mains : supply(3)\nfeed : divider(ways: 3)\nmains -> feed"
    names = "let all_ = f211.on and f223.on and f239.on"
    found = rhythm("design long {\n" + "\n".join([head, *rows, *wires, names]) + "\n}")
    assert [one.name for one in found.lost] == ["all_"]
    assert [one.item.name for one in found.beats] == ["f211", "f223", "f239"]
    assert found.round() is found.seen


# --- rest -----------------------------------------------------------------------------------------


def test_a_lulled_bell_says_what_waits_for_what() -> None:
    design = made(shipped("drowsy_bell"))
    system = lower(design)
    hush = next(n for n, one in enumerate(system.choices) if one.name == "hush.hand")
    # Ring from tick 1 to 8, rest from 10 to 41: the cord is pulled in its last tick.
    found = rhythm_of(design, system, played(system, [Held(hush, 1, 41, 42)], 42))
    assert isinstance(found.loop, Loop)
    assert found.loop.period is None
    waits = {wait.part: [fact.path for fact in wait.facts] for wait in waits_of(found)}
    assert waits == {"ring": ["begun", "wake.out", "rest.on"], "rest": ["ring.on"]}


DOOR = """
    design opening {
      mains : supply(1)
      gate : door(opens: 5 s, shuts: 5 s)
      mains -> gate
      claim c: possible gate.open
    }"""

DELAY = """
    design late {
      tick 1 s
      mains : supply(3)
      keep dusk : flag = yes
      hold : off_delay(1 min)
      light : lamp
      mains -> hold -> light
      hold.start when dusk
      dusk becomes no
    }"""

RELOADED = """
    design shifted {
      tick 1 s
      ask : button
      hold : held
      hold.input when not ask
    }
    kind held "live for a minute from each tick in which its input is live" {
      in input: signal
      keep left: timer
      left loads 1 min when input
      out out: signal = left > 0 s
    }"""


def settled(found: Rhythm) -> int:
    assert isinstance(found.loop, Loop)
    assert found.loop.period is None
    return found.loop.settles


@pytest.mark.parametrize("text", [DOOR, DELAY], ids=["door", "delay"])
def test_what_only_outputs_read_is_not_at_rest_while_it_moves(text: str) -> None:
    settles, period, _ = ticked(text)
    found = rhythm(text)
    assert (settled(found), 1) == (settles, period)
    assert found.loop.jumps <= 5


def test_a_door_opens_before_all_is_at_rest() -> None:
    found = rhythm(DOOR)
    assert settled(found) == 51
    assert beat(found, "gate.open").on == ((0, 1),)


def test_a_delay_runs_out_before_all_is_at_rest() -> None:
    found = rhythm(DELAY)
    assert settled(found) == 62
    assert (found.draw.first, found.draw.least, found.draw.most) == (2, 1, 2)


def test_a_timer_that_is_loaded_anew_moves_though_nobody_tells_the_difference() -> None:
    design = made(RELOADED)
    system = lower(design)
    ask = next(n for n, one in enumerate(system.choices) if one.name == "ask.hand")
    # In tick 10 the timer counts for a tick; in tick 11 it is loaded in full again.
    found = rhythm_of(design, system, played(system, [Held(ask, 1, 10, 11)], 11))
    assert found.seen.left("hold.left", 11) == 59
    assert settled(found) == 12
    assert found.seen.left("hold.left", 12) == 60


def test_presses_a_tick_sooner_lull_nothing() -> None:
    design = made(shipped("drowsy_bell"))
    system = lower(design)
    hush = next(n for n, one in enumerate(system.choices) if one.name == "hush.hand")
    found = rhythm_of(design, system, played(system, [Held(hush, 1, 20, 21)], 21))
    assert loop(found)[1] == 42
    assert waits_of(found) == ()


def test_an_assumption_that_nobody_keeps_at_rest_is_told() -> None:
    text = """
    design kept {
      tick 1 s
      ask : button
      goes : latch
      ask -> goes.set
      assume ask returns within 5 s
    }"""
    assert rhythm(text).breaks == 5


# --- against single ticks -------------------------------------------------------------------------


def ticked(text: str) -> tuple[int, int, dict[str, int]]:
    """Return when a design left alone settles, its period, how long its items are on in it."""
    bare, items = items_of(made(text))
    system = lower(bare)
    rest = (0,) * len(system.choices)
    at, on = start_of(system), []
    seen: dict[State, int] = {}
    while at not in seen:
        seen[at] = len(seen)
        on.append(
            {item.name: any(values(at, rest, system.shown[item.net.path].nodes)) for item in items}
        )
        at = following(system, at, rest, (0,) * len(system.clocks))
    settles, period = seen[at], len(seen) - seen[at]
    return settles, period, {name: sum(row[name] for row in on[settles:]) for name in on[0]}


def test_random_rings_settle_and_come_again_as_single_ticks_say() -> None:
    dice = random.Random(5)
    for _ in range(12):
        spans = [dice.randint(1, 6) for _ in range(3)]
        text = ring(spans, door=dice.randint(1, 4))
        settles, period, on = ticked(text)
        found = rhythm(text)
        assert loop(found) == (settles, period)
        assert {one.item.name: one.ticks for one in found.beats} == on


def ring(spans: list[int], door: int) -> str:
    """Return a ring of timers, the first of which moves a door and lights a lamp."""
    count = len(spans)
    parts = [f"t{n} : pulse({span} ticks)" for n, span in enumerate(spans)]
    starts = [f"t{(n + 1) % count}.start when t{n}.on ends" for n in range(1, count - 1)]
    return "\n".join(
        [
            "design ring {",
            f"mains : supply({2 * count})",
            f"feed : divider(ways: {count})",
            "mains -> feed",
            "keep begun: flag",
            "begun becomes yes",
            *parts,
            *(f"feed.way[{n + 1}] -> t{n}" for n in range(count)),
            f"gate : door(opens: {door} ticks, shuts: {door} ticks)",
            "t0 -> gate",
            f"t0.start when not begun or t{count - 1}.on ends",
            "t1.start when t0.on ends",
            *starts,
            "}",
        ]
    )


def test_random_designs_left_alone_rest_where_single_ticks_say() -> None:
    seen = 0
    for seed in range(30):
        text = random_design(seed)
        if ".." in text.split("mains", 1)[1]:
            continue  # drawn spans: there is more than one run
        settles, period, _ = ticked(text)
        found = rhythm(text)
        assert isinstance(found.loop, Loop)
        assert (found.loop.settles, found.loop.period or 1) == (settles, period)
        seen += 1
    assert seen > 5
