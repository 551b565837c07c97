"""Buttons, levers, plates and daylight, against plain readings of what their texts promise."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.parts.bench import bench, levels, starts, traced


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
def test_lever_that_falls_back(hand: list[bool], holds: int, high: bool) -> None:
    level = "yes" if high else "no"
    body = f"part : lever(holds: {holds} ticks, exact: yes, starts: {level})"
    shown = [
        one != high for one in traced(bench(body, "part.out").run({"part.hand": hand}), "part.out")
    ]
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
