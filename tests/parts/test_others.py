"""Parts that no standard defines, against plain readings of what their texts promise."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.parts.bench import Bench, bench, levels, traced

# --- power: amounts are shared without loss ----------------------------------------------------------


def amounts(body: str, *shown: str) -> dict[str, int]:
    (one,) = bench(f"free idle: signal\n{body}", *shown).run({"idle": [False]})
    return one


@given(st.integers(0, 12), st.integers(0, 8))
def test_tap_takes_at_most_its_amount(supplied: int, amount: int) -> None:
    body = f"mains : supply({supplied})\npart : tap({amount})\nmains -> part"
    shown = amounts(body, "part.side", "part.rest")
    assert shown["part.side"] == min(amount, supplied)
    assert shown["part.side"] + shown["part.rest"] == supplied


@given(st.integers(0, 12), st.integers(1, 5))
def test_divider_shares_equally_the_rest_goes_first(supplied: int, ways: int) -> None:
    body = f"mains : supply({supplied})\npart : divider(ways: {ways})\nmains -> part"
    shares = list(amounts(body, *(f"part.way[{way + 1}]" for way in range(ways))).values())
    assert sum(shares) == supplied
    assert sorted(shares, reverse=True) == shares
    assert max(shares) - min(shares) <= 1


@given(st.lists(st.integers(0, 5), min_size=1, max_size=4))
def test_busbar_joins(feeds: list[int]) -> None:
    lines = [f"part : busbar(ways: {len(feeds)})"]
    for way, amount in enumerate(feeds, start=1):
        lines += [f"s{way} : supply({amount})", f"s{way} -> part.feed[{way}]"]
    assert amounts("\n".join(lines), "part.out")["part.out"] == sum(feeds)


@given(levels())
def test_supply_drops_while_not_told(told: list[bool]) -> None:
    body = "free a: signal\npart : supply(7, drops: 2)\na -> part.told"
    shown = bench(body, "part.out").run({"a": told})
    assert [one["part.out"] for one in shown] == [7 if level else 2 for level in told]


def test_supply_that_is_not_told_gives_all() -> None:
    assert amounts("part : supply(7, drops: 2)", "part.out")["part.out"] == 7
    assert amounts("part : supply(7)\npart.told when no", "part.out")["part.out"] == 7


@given(levels())
def test_relay_changes_over_a_tick_late(coil: list[bool]) -> None:
    body = "free a: signal\nmains : supply(3)\npart : relay\nmains -> part\na -> part.coil"
    shown = bench(body, "part.make", "part.break", "part.pulled").run({"a": coil})
    for pulled, one in zip([False, *coil], shown, strict=False):
        assert one == {
            "part.make": 3 if pulled else 0,
            "part.break": 0 if pulled else 3,
            "part.pulled": int(pulled),
        }


@pytest.mark.parametrize(("kind", "draw"), [("lamp", 1), ("bell", 1), ("load", 3), ("lamp", 2)])
@pytest.mark.parametrize("supplied", [0, 1, 2, 3, 4])
def test_driven_parts_need_their_units(kind: str, draw: int, supplied: int) -> None:
    main = {"lamp": "part.lit", "bell": "part.rings", "load": "part.works"}[kind]
    body = f"mains : supply({supplied})\npart : {kind}({draw})\nmains -> part"
    shown = amounts(body, main, "part.starving")
    assert shown[main] == int(supplied >= draw)
    assert shown["part.starving"] == int(0 < supplied < draw)


# --- gates --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("one", [False, True])
@pytest.mark.parametrize("other", [False, True])
def test_gates(*, one: bool, other: bool) -> None:
    tables = {
        "and_gate": one and other,
        "or_gate": one or other,
        "xor_gate": one != other,
    }
    for kind, expected in tables.items():
        body = f"free a: signal\nfree b: signal\npart : {kind}\na -> part.input[1]\nb -> part.input[2]"
        assert traced(bench(body, "part.out").run({"a": [one], "b": [other]}), "part.out") == [expected]
    body = "free a: signal\nfree b: signal\npart : inhibit\na -> part.input\nb -> part.bar"
    shown = bench(body, "part.out").run({"a": [one], "b": [other]})
    assert traced(shown, "part.out") == [one and not other]
    shown = bench("free a: signal\npart : not_gate\na -> part", "part.out").run({"a": [one]})
    assert traced(shown, "part.out") == [not one]


@given(st.lists(st.booleans(), min_size=3, max_size=3))
def test_gates_of_three_ways(inputs: list[bool]) -> None:
    free = "\n".join(f"free i{n}: signal\ni{n} -> part.input[{n + 1}]" for n in range(3))
    told = {f"i{n}": [level] for n, level in enumerate(inputs)}
    for kind, expected in (("and_gate", all(inputs)), ("or_gate", any(inputs))):
        shown = bench(f"part : {kind}(ways: 3)\n{free}", "part.out").run(told)
        assert traced(shown, "part.out") == [expected]


# --- timers and memory --------------------------------------------------------------------------------

AGAIN = bench(
    "free a: signal\nmains : supply(2)\npart : pulse(4 ticks, again: yes)\nmains -> part\na -> part.start",
    "part.on",
)
RUNS_ON = bench(
    "free a: signal\nmains : supply(2)\npart : off_delay(4 ticks, again: no)\nmains -> part\na -> part.start",
    "part.on",
)
FLASHER = bench(
    "free a: signal\nmains : supply(3)\npart : flasher(lit: 3 ticks, dark: 2 ticks)\nmains -> part\n"
    "a -> part.told",
    "part.on",
    "part.out",
)
TOGGLE = bench(
    "free a: signal\nfree b: signal\npart : toggle\na -> part.press\nb -> part.reset", "part.out"
)


def starts(given_levels: Sequence[bool]) -> Iterator[int]:
    """Yield the ticks at which a level starts; what is live at tick 0 starts there."""
    for tick, (was, level) in enumerate(pairwise([False, *given_levels])):
        if level and not was:
            yield tick


@given(levels())
def test_pulse_again_is_on_after_any_start(told: list[bool]) -> None:
    """On at t just when a start lies 1 to 4 ticks back."""
    expected = [any(1 <= tick - start <= 4 for start in starts(told)) for tick in range(len(told))]
    assert traced(AGAIN.run({"a": told}), "part.on") == expected


@given(levels())
def test_off_delay_that_runs_on(told: list[bool]) -> None:
    """Letting go opens a window of 4 ticks unless one is open; on while told or in a window."""
    until, expected, was = -1, [], False
    for tick, level in enumerate(told):
        if was and not level and tick >= until:
            until = tick + 4
        expected.append(level or tick < until)
        was = level
    assert traced(RUNS_ON.run({"a": told}), "part.on") == expected


@given(levels(12))
def test_flasher_counts_from_where_it_is_told(told: list[bool]) -> None:
    """Told from t on: lit at t + 1 .. t + 3, dark for 2 ticks, and so on; dark a tick after the end."""
    shown, since = FLASHER.run({"a": told}), 0
    for tick, level in enumerate(told):
        since = since + 1 if level else 0
        if tick + 1 < len(told):
            assert shown[tick + 1]["part.on"] == int(level and (since - 1) % 5 < 3)
    assert all(one["part.out"] == 2 * one["part.on"] for one in shown)


@given(levels(3), levels(3))
def test_toggle_changes_at_each_start(press: list[bool], reset: list[bool]) -> None:
    ticks = min(len(press), len(reset))
    shown = traced(TOGGLE.run({"a": press[:ticks], "b": reset[:ticks]}), "part.out")
    held, expected, begins = False, [], set(starts(press))
    for tick in range(ticks):
        expected.append(held)
        held = not reset[tick] and (held != (tick in begins))
    assert shown == expected


COUNTER = bench(
    "free u: signal\nfree d: signal\nfree r: signal\nfree l: signal\n"
    "part : counter(2, most: 3, start: 1)\n"
    "u -> part.up\nd -> part.down\nr -> part.reset\nl -> part.load",
    "part.value",
    "part.full",
    "part.empty",
)


@given(levels(2), levels(2), levels(4), levels(4))
def test_counter_both_ways(
    up: list[bool], down: list[bool], reset: list[bool], load: list[bool]
) -> None:
    """IEC 61131-3 CTUD, from memory: R, then LD, else one up or one down, not both."""
    ticks = min(map(len, (up, down, reset, load)))
    told = {"u": up[:ticks], "d": down[:ticks], "r": reset[:ticks], "l": load[:ticks]}
    value, rises, falls = 1, set(starts(up)), set(starts(down))
    for tick, one in enumerate(COUNTER.run(told)):
        assert one == {
            "part.value": value,
            "part.full": int(value >= 2),
            "part.empty": int(value <= 0),
        }
        step = (tick in rises) - (tick in falls)
        value = 0 if reset[tick] else 2 if load[tick] else min(3, max(0, value + step))


FAILING = {
    kind: bench(
        "free p: signal\nfree a: signal\nmains : supply(2, drops: 0)\np -> mains.told\n"
        f"part : {kind}\nmains -> part\na -> part.start",
        "part.on",
        "part.out",
    )
    for kind in ("pulse(3 ticks)", "on_delay(3 ticks)", "off_delay(3 ticks)")
}


def under(kind: str, power: Sequence[bool], told: Sequence[bool]) -> list[bool]:
    """Run a timer under power that comes and goes; its output is what it has to spare while on."""
    ticks = min(len(power), len(told))
    shown = FAILING[kind].run({"p": power[:ticks], "a": told[:ticks]})
    assert all(
        one["part.out"] == int(fed and one["part.on"])
        for fed, one in zip(power, shown, strict=False)
    )
    return traced(shown, "part.on")


@given(levels(9), levels(4))
def test_pulse_stands_still_without_power(power: list[bool], told: list[bool]) -> None:
    left, begins = 0, set(starts(told))
    for tick, on in enumerate(under("pulse(3 ticks)", power, told)):
        assert on == (left > 0)
        if power[tick]:
            left = 3 if tick in begins and left == 0 else max(0, left - 1)


@given(levels(9), levels(9))
def test_on_delay_begins_anew_after_loss_of_power(power: list[bool], told: list[bool]) -> None:
    asked = [fed and level for fed, level in zip(power, told, strict=False)]
    expected = [tick >= 3 and all(asked[tick - 3 : tick + 1]) for tick in range(len(asked))]
    assert under("on_delay(3 ticks)", power, told) == expected


@given(levels(9), levels(4))
def test_off_delay_is_out_after_loss_of_power(power: list[bool], told: list[bool]) -> None:
    """On while it has power and was told, with power all the while, 0 to 3 ticks ago."""
    for tick, on in enumerate(under("off_delay(3 ticks)", power, told)):
        recent = range(tick, max(-1, tick - 4), -1)
        assert on == any(told[ago] and all(power[ago : tick + 1]) for ago in recent)


# --- people and daylight ------------------------------------------------------------------------------


@given(levels(4), st.integers(1, 5))
def test_button_is_held_at_least(hand: list[bool], holds: int) -> None:
    """Live at t just when the hand is there, or the last stretch began less than `holds` ago."""
    part = bench(f"part : button(holds: {holds} ticks)", "part.out")
    begun, was, expected = -99, False, []
    for tick, level in enumerate(hand):
        live = level or (was and tick - begun < holds)
        if live and not was:
            begun = tick
        expected.append(live)
        was = live
    assert traced(part.run({"part.hand": hand}), "part.out") == expected


@given(levels(4), st.integers(1, 5))
def test_exact_button_is_held_just_so_long(hand: list[bool], holds: int) -> None:
    part = bench(f"part : button(holds: {holds} ticks, exact: yes)", "part.out")
    shown = traced(part.run({"part.hand": hand}), "part.out")
    begins = set(starts(hand))
    stretches = list(starts(shown))
    assert set(stretches) <= begins
    for start in stretches:
        assert all(shown[start : start + holds])
        assert not any(shown[start + holds : start + holds + 1])
    for start in begins - set(stretches):
        assert any(first < start <= first + holds for first in stretches)


@given(levels(4), st.integers(1, 5))
def test_lever_stays_thrown(hand: list[bool], holds: int) -> None:
    part = bench(f"part : lever(holds: {holds} ticks)", "part.out")
    thrown, last, expected, begins = False, -99, [], set(starts(hand))
    for tick in range(len(hand)):
        expected.append(thrown)
        if tick in begins and tick - last >= holds:
            thrown, last = not thrown, tick
    assert traced(part.run({"part.hand": hand}), "part.out") == expected


@given(levels(4), st.integers(1, 5), st.booleans())
def test_lever_that_falls_back(hand: list[bool], holds: int, high: bool) -> None:  # noqa: FBT001
    level = "yes" if high else "no"
    body = f"part : lever(holds: {holds} ticks, exact: yes, starts: {level})"
    shown = [one != high for one in traced(bench(body, "part.out").run({"part.hand": hand}), "part.out")]
    for start in starts(shown):
        assert hand[start - 1]
        assert all(shown[start : start + holds])
        assert not any(shown[start + holds : start + holds + 1])


WALK = "rooms hall, nook\npassage hall <-> nook\nwalker guest starts in hall\n"


@given(levels(3), levels(3))
def test_only_someone_in_the_room_moves_things(goes: list[bool], hand: list[bool]) -> None:
    body = f"{WALK}tread : plate(room: nook)\nknob : button(room: nook)\nbolt : lever(room: nook)"
    part = bench(body, "tread.out", "knob.out", "bolt.out")
    ticks = min(len(goes), len(hand))
    free = {"guest.sets_out": goes[:ticks], "knob.hand": hand[:ticks], "bolt.hand": hand[:ticks]}
    there, thrown, begins = False, False, set(starts(hand))
    for tick, one in enumerate(part.run(free)):
        assert one["tread.out"] == int(there)
        assert one["knob.out"] == int(there and hand[tick])
        assert one["bolt.out"] == int(thrown)
        thrown ^= there and tick in begins
        there ^= goes[tick]


@pytest.mark.parametrize("first", ["day", "night"])
def test_daylight_takes_turns_from_tick_0(first: str) -> None:
    body = f"free idle: signal\npart : daylight(day: 4 ticks, night: 3 ticks, starts: {first})"
    shown = traced(bench(body, "part.light").run({"idle": [False] * 40}), "part.light")
    shift = 0 if first == "day" else 4
    assert shown == [(tick + shift) % 7 < 4 for tick in range(40)]


# --- doors --------------------------------------------------------------------------------------------

OPENS, SHUTS = 3, 4
DOORS = {
    first: bench(
        f"free a: signal\nmains : supply(1)\npart : door(opens: {OPENS} ticks, shuts: {SHUTS} ticks, "
        f"starts: {first})\nmains -> part\na -> part.told",
        "part.open",
        "part.shut",
        "part.ajar",
        "part.moving",
    )
    for first in ("shut", "open")
}


@given(levels(9), st.sampled_from(("shut", "open")))
def test_door_takes_its_full_travel_time(told: list[bool], first: str) -> None:
    """What it was told last, and for how many ticks on end, says where the door stands a tick later."""
    last = first == "open"
    still = 99
    for level, one in zip(told, DOORS[first].run({"a": told}), strict=True):
        moving = still < (OPENS if last else SHUTS)
        assert one == {
            "part.open": int(last and not moving),
            "part.shut": int(not last and not moving),
            "part.ajar": int(last or moving),
            "part.moving": int(moving),
        }
        still = still + 1 if level == last else 0
        last = level


@given(levels())
def test_door_without_power_shuts(fed: list[bool]) -> None:
    body = (
        "free a: signal\nmains : supply(1, drops: 0)\na -> mains.told\n"
        "part : door(opens: 1 tick, shuts: 1 tick)\nmains -> part"
    )
    shown = traced(bench(body, "part.ajar").run({"a": fed}), "part.ajar")
    before = [False, False, *fed]
    assert shown == [before[tick + 1] or before[tick] for tick in range(len(fed))]


def test_a_part_without_power_does_nothing() -> None:
    kinds = ("pulse(2 ticks)", "on_delay(1 tick)", "off_delay(2 ticks)")
    for kind in kinds:
        body = f"free a: signal\npart : {kind}\na -> part.start"
        shown: Bench = bench(body, "part.out")
        assert not any(one["part.out"] for one in shown.run({"a": [True] * 6}))
