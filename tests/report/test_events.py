"""Events: what is told, in which order, and how often."""

from tests.report.make import VESTIBULE, paper, plain, row, system, trace
from verifier.report.clock import Clock
from verifier.report.events import Event, Kind, events_of, folded, shortened
from verifier.report.history import (
    Amount,
    History,
    Kept,
    Leaf,
    Left,
    Level,
    Place,
    Row,
    Standing,
)
from verifier.report.ledger import ledger
from verifier.report.presses import presses
from verifier.report.rows import Focus
from verifier.simulate.watch import watch
from verifier.source.times import SECOND

CLOCK = Clock(SECOND // 10)
LIVE, DEAD = Level(live=True), Level(live=False)
IDLE = Left(0, 0, falls=False)


def told(*rows: Row) -> list[tuple[int, str]]:
    history = History(CLOCK, rows[0].runs[-1].end, rows)
    return [(event.tick, event.words) for event in events_of(history)]


def test_a_timer_starts_anew_stands_still_and_runs_out() -> None:
    timer = row(
        "pulse",
        (IDLE, 5),
        (Left(20, 20, falls=True), 10),
        (Left(20, 20, falls=True), 5),
        (Left(15, 20, falls=False), 5),
        (Left(15, 20, falls=True), 15),
        (IDLE, 5),
    )
    assert told(timer) == [
        (5, "pulse starts (2 s)"),
        (15, "pulse starts anew (2 s)"),
        (20, "pulse stands still"),
        (25, "pulse runs on"),
        (40, "pulse has run out"),
    ]


def test_a_timer_that_is_put_out_is_stopped() -> None:
    assert told(row("p", (Left(20, 20, falls=True), 3), (IDLE, 3)))[-1] == (3, "p is stopped")


def test_doors_walkers_and_amounts() -> None:
    assert told(row("gate", (Leaf.SHUT, 1), (Leaf.OPENING, 2), (Leaf.OPEN, 3))) == [
        (1, "gate begins to open"),
        (3, "gate is open"),
    ]
    walk = row("guest", (Place("lawn"), 2), (Place("lawn -> hall", between=True), 3),
               (Place("hall"), 1))  # fmt: skip
    assert told(walk) == [(1, "guest sets out from lawn to hall"), (5, "guest is in hall")]
    gets = row("pump", (Amount(4), 2), (Amount(1, 4, units=True), 2), note="gets")
    assert told(gets) == [(2, "pump gets 1 unit, needs 4")]


def test_who_arrives_and_sets_out_in_one_tick_does_it_in_this_order() -> None:
    walk = row("guest", (Place("lawn"), 1), (Place("lawn -> hall", between=True), 2),
               (Place("hall"), 1), (Place("hall -> loft", between=True), 2))  # fmt: skip
    gate = row("gate", (Leaf.OPENING, 3), (Leaf.OPEN, 3))
    assert told(walk, gate) == [
        (0, "guest sets out from lawn to hall"),
        (3, "guest is in hall"),
        (3, "gate is open"),
        (3, "guest sets out from hall to loft"),
    ]


def test_a_break_stands_last_in_its_tick_and_a_mend_is_not_told() -> None:
    claim = row("apart", (Kept(broken=False), 2), (Kept(broken=True), 2), (Kept(broken=False), 1))
    assert told(claim, row("lamp", (DEAD, 2), (LIVE, 3))) == [
        (2, "lamp goes live"),
        (2, "apart is broken"),
    ]


def test_what_happens_often_is_told_once() -> None:
    events = [Event(tick, Kind.CHANGE, "drip") for tick in (0, 19, 38)]
    events.append(Event(40, Kind.CHANGE, "full"))
    found = folded(events, CLOCK)
    assert [(one.tick, one.words, one.repeats) for one in found] == [
        (0, "drip", "every 1.9 s, 3 times, last at 3.8 s"),
        (40, "full", ""),
    ]
    uneven = folded([Event(tick, Kind.CHANGE, "drip") for tick in (0, 1, 5)], CLOCK)
    assert uneven[0].repeats == "3 times, last at 0.5 s"
    twice = folded([Event(tick, Kind.CHANGE, "drip") for tick in (0, 1)], CLOCK)
    assert len(twice) == 2


def test_long_lists_keep_their_ends() -> None:
    events = [Event(tick, Kind.CHANGE, str(tick)) for tick in range(30)]
    first, left_out, last = shortened(events, 9)
    assert [one.tick for one in (*first, *last)] == [0, 1, 2, 3, 26, 27, 28, 29]
    assert left_out == 22
    assert shortened(events, 30) == (events, 0, [])


def hands(text: str, *steps: tuple[int, dict[str, int]]) -> list[tuple[int, str]]:
    where = system(text)
    readings = watch(where, trace(where, *steps)).readings
    found = presses(where.design, readings, Focus.of(where.design))
    return [(event.tick, event.words) for event in found]


def test_letting_go_is_told_only_where_something_follows_from_it() -> None:
    short = hands(VESTIBULE, (1, {"ask_out.hand": 1}), (9, {}))
    assert short == [(0, "someone presses ask_out")]
    held = hands(VESTIBULE, (5, {"ask_out.hand": 1}), (9, {}))
    assert held == [(0, "someone presses ask_out"), (5, "ask_out is let go")]


def test_a_lever_is_moved_not_pressed() -> None:
    text = "design d { bolt : lever claim c: never bolt }"
    assert hands(text, (2, {}), (2, {"bolt.hand": 1}), (3, {})) == [(2, "someone moves bolt")]


def test_choices_and_counts_are_set() -> None:
    text = """design d {
      free mode: one of (calm, loud) free level: count 0 .. 3
      claim c: never mode is loud and level = 3
    }"""
    assert hands(text, (2, {"mode": 1, "level": 2}), (3, {})) == [
        (0, "someone sets mode to loud"),
        (2, "mode is let go"),
        (0, "someone sets level to 2"),
        (2, "someone sets level to 0"),
    ]


def test_choices_and_counts_of_the_design_s_own() -> None:
    mood = row("mood", (Standing("calm", rest=True), 2), (Standing("cross", rest=False), 2))
    assert told(mood) == [(2, "mood stands at cross")]
    feed = row(
        "feed", (Amount(3, units=True), 2), (Amount(1, units=True), 1), (Amount(0, units=True), 1)
    )
    assert told(feed) == [(2, "feed gives 1 unit"), (3, "feed gives nothing")]
    assert told(row("tally", (Amount(1), 1), (Amount(2), 1))) == [(1, "tally is at 2")]


def test_a_claim_that_is_broken_from_the_start() -> None:
    assert told(row("apart", (Kept(broken=True), 4), (Kept(broken=False), 1))) == [
        (0, "apart is broken")
    ]


def test_many_events_are_cut_in_the_middle() -> None:
    board, _ = paper(60)
    events = [Event(tick, Kind.CHANGE, f"lamp {tick} goes live") for tick in range(20)]
    lines = plain(list(ledger(board, CLOCK, events, 8))).splitlines()
    assert lines == [
        "  0.0 s   lamp 0 goes live",
        "  0.1 s   lamp 1 goes live",
        "  0.2 s   lamp 2 goes live",
        "  0.3 s   lamp 3 goes live",
        "          … 13 more",
        "  1.7 s   lamp 17 goes live",
        "  1.8 s   lamp 18 goes live",
        "  1.9 s   lamp 19 goes live",
    ]
