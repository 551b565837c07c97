"""Ticks: what is kept, timers, people, presses, and what carried claims are about."""

import pytest

from tests.oracles.afresh.asked import answering, truth
from tests.oracles.afresh.letters import UnsureError
from tests.oracles.afresh.people import Exit, arriving, walked
from tests.oracles.afresh.placing import Kind, Scope, Site
from tests.oracles.afresh.reading import Block

LOADED = ("free hand: signal", "keep left: timer")


def test_a_timer_shows_its_load_one_tick_later_and_counts_down() -> None:
    lines = (*LOADED, "left loads 3 ticks when hand starts")
    assert truth("possible left = 3 ticks", *lines).tick == 1
    assert truth("possible left ends", *lines).tick == 3
    assert truth("never left > 3 ticks", *lines).holds
    assert truth("left > 0 s lasts at least 3 ticks", *lines).holds


def test_a_timer_stands_still_where_it_does_not_run() -> None:
    lines = ("keep left: timer = 2 ticks", "left runs while left > 1 tick")
    assert truth("never left = 0 s", *lines).holds
    assert truth("possible left = 1 tick", *lines).tick == 1


def test_a_range_is_drawn_and_a_turned_load_is_not_below_0() -> None:
    ranged = (*LOADED, "left loads 1 tick .. 3 ticks when hand")
    for shown in (1, 2, 3):
        assert truth(f"possible left = {shown} ticks", *ranged).tick == 1
    turned = ("keep left: timer = 5 ticks", "left loads 3 ticks - left when left != 2 ticks")
    assert truth("possible left = 0 s", *turned).tick == 1
    assert truth("possible left = 3 ticks", *turned).tick == 2


@pytest.mark.parametrize(
    ("load", "shown"),
    [("10 ticks", {9, 10, 11}), ("11 ticks", {9, 10, 11, 12, 13}), ("1 tick", {1}), ("0 s", set())],
)
def test_a_tolerance_widens_outward_but_not_one_tick(load: str, shown: set[int]) -> None:
    percent = 10 if load != "11 ticks" else 12
    lines = (f"tolerance {percent} %", *LOADED, f"left loads {load} when hand and left = 0 s")
    found = {
        ticks
        for ticks in range(1, 15)
        if truth(f"possible left = {ticks} ticks within 1 tick", *lines).holds
    }
    assert found == shown


def test_a_count_stays_at_the_end_that_it_is_led_over() -> None:
    lines = ("keep level: count 0 .. 2", "level becomes level + 1")
    found = answering(
        *lines, "claim more: never level = 2", "claim on: possible level = 0 within 1 tick"
    )
    assert found.names() == ["more", "on", "counts"]
    assert found.truth("more").tick == 2
    assert found.truth("counts").tick == 2
    assert truth("always level = 2", *lines[:1], "level becomes 2").tick == 0


def test_some_part_starves_unless_it_may() -> None:
    lines = ("mains : supply(1)", "last : lamp(draw: 2)", "mains -> last")
    assert answering(*lines).truth("fed").tick == 0
    assert answering(*lines, "starving allowed: last").truth("fed").holds


def test_what_a_part_knows_of_its_units_can_be_wired_on() -> None:
    kind = "kind gate { in feed: power  out out: power = spare  uses 2 of feed }"
    parts = ("mains : supply(3)", "one : gate", "two : gate", "no_two : not_gate")
    lines = (*parts, "mains -> one -> two", "two.fed -> no_two")
    assert truth("always two.out = 0 and two.starving and one.fed", *lines, above=kind).holds
    assert truth("always no_two", *lines, above=kind).holds


LAWN = Site(Scope(Kind(Block("design", "hedge", [], []), {})), {})
WAYS = (Exit(0, 1, (None, LAWN), 1, 1), Exit(0, 2, (None, LAWN), 2, 3))


def test_a_walker_stays_sets_out_and_arrives() -> None:
    home = (0, 0, 0)
    assert walked(WAYS, home, 0, [True, True]) == [home]
    assert walked(WAYS, home, 3, [True, True]) == [home]
    assert walked(WAYS, home, 1, [False, True]) == [home]
    assert walked(WAYS, home, 1, [True, True]) == [(1, 0, 0)]
    assert walked(WAYS, home, 2, [True, True]) == [(0, 1, 1), (0, 1, 2)]
    assert walked(WAYS, (0, 1, 2), 0, [True, True]) == [(0, 1, 1)]
    assert arriving(WAYS, 1, 0) == (2, 0, 0)


def test_people_on_their_way_are_in_neither_room() -> None:
    lines = (
        "rooms lawn, vault",
        "passage lawn -> vault takes 3 ticks",
        "walker guest starts in lawn",
    )
    assert truth("possible guest is in vault", *lines).tick == 3
    assert truth("possible someone is between vault and lawn", *lines).tick == 1
    assert truth("possible count of walkers in lawn = 0", *lines).tick == 1
    assert truth("guest is between lawn and vault lasts 2 ticks", *lines).holds


def test_one_press_at_a_time() -> None:
    lines = ("free one: signal", "free two: signal")
    both = "possible one starts and two starts"
    assert truth(both, *lines).tick == 0
    assert not truth(both, *lines, "one press at a time").holds
    assert truth("possible one and two", *lines, "one press at a time").tick == 1


def test_a_passage_that_takes_no_time_is_not_known() -> None:
    with pytest.raises(UnsureError):
        answering("rooms lawn, vault", "passage lawn -> vault takes 0 s")
