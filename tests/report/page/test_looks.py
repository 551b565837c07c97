"""Looks: when they change, and what is said of each state."""

import pytest

from tests.report.make import VESTIBULE, system, trace
from verifier.causes.reasons import Reasons
from verifier.report.drawing.plan import plan
from verifier.report.drawing.survey import survey
from verifier.report.drawing.wiring import in_order
from verifier.report.graph import Graph
from verifier.report.history import Amount, Kept, Leaf, Left, Level, Place, Standing, State
from verifier.report.page.looks import Look, course, state_look, wires
from verifier.report.page.states import of_design, of_part
from verifier.simulate.watch import watch
from verifier.system.model import System
from verifier.verdict.trace import Trace


def reasons(where: System, run: Trace) -> Reasons:
    return Reasons(where, watch(where, run, None, 60).readings)


def of(where: System, run: Trace, name: str) -> list[tuple[int, str, str]]:
    part = next(one for one in where.design.parts if one.path == name)
    found = of_part(reasons(where, run), part, Graph.of(where.design))
    return [(tick, look.classes, look.words) for tick, look in found]


def test_a_course_tells_a_look_only_where_it_is_new() -> None:
    looks = {0: Look("live"), 3: Look("live"), 5: Look()}
    assert course([5, 3], looks.__getitem__) == ((0, Look("live")), (5, Look()))


def test_what_a_timer_has_left_is_no_news_while_it_falls_as_expected() -> None:
    looks = {
        0: Look(left=9, full=9, falls=True),
        4: Look(left=5, full=9, falls=True),
        6: Look(left=9, full=9, falls=True),
    }
    assert [tick for tick, _ in course([4, 6], looks.__getitem__)] == [0, 6]


@pytest.mark.parametrize(
    ("state", "look"),
    [
        (Level(live=True), Look(words="live")),
        (Level(live=False), Look()),
        (Amount(1, 0, units=True), Look(words="1 unit")),
        (Amount(3, 0, units=False), Look(words="3")),
        (Amount(1, 2, units=True), Look("short", "1 of 2")),
        (Left(5, 9, falls=True), Look("", "{} left", 5, 9, falls=True)),
        (Left(0, 0, falls=False), Look()),
        (Leaf.OPENING, Look(words="opening")),
        (Place("lawn -> grotto", between=True), Look(words="lawn to grotto")),
        (Standing("low", rest=True), Look()),
        (Standing("high", rest=False), Look(words="high")),
        (Kept(broken=True), Look("broken", "broken")),
        (Kept(broken=False), Look("", "kept")),
    ],
)
def test_each_state_has_its_words(state: State, look: Look) -> None:
    assert state_look(state) == look


def test_a_part_says_how_it_is() -> None:
    where = system(VESTIBULE)
    run = trace(where, (1, {"ask_out.hand": 1}), (2, {}))
    assert of(where, run, "mains") == [(0, "live", "8 units")]
    assert of(where, run, "feed") == [(0, "live", "4 + 4")]
    assert of(where, run, "ask_out") == [(0, "live", "pressed"), (3, "", "at rest")]
    assert of(where, run, "open_out") == [
        (0, "", "gives nothing"),
        (1, "live runs", "{} left"),
        (61, "", "gives nothing"),
    ]
    assert of(where, run, "outer") == [
        (0, "shut", "shut"),
        (2, "opening runs", "opening, {} to go"),
        (22, "open", "open"),
        (62, "shutting runs", "shutting, {} to go"),
        (92, "shut", "shut"),
    ]


def test_a_part_that_starves_says_so() -> None:
    where = system(
        "design dry { mains : supply(1)  glow : lamp(draw: 2)  mains -> glow  claim c: never glow }"
    )
    assert of(where, trace(where, (3, {})), "glow") == [(0, "starving", "starving: 1 of 2")]


def test_what_belongs_to_no_part_is_told_too() -> None:
    where = system(
        """design maze {
          rooms lawn, grotto
          passage lawn <-> grotto takes 1 s
          walker guest starts in lawn
          free wind: signal
          keep seen: flag
          seen becomes yes when guest is in grotto
          keep rest: timer
          rest loads 2 s when wind
          claim c: never seen
        }"""
    )
    run = trace(where, (1, {"guest.sets_out": 1, "wind": 1}), (20, {}))
    found = {own.name: own for own in of_design(reasons(where, run))}
    assert [(own.name, own.sort) for own in found.values()] == [
        ("guest", "walker"),
        ("wind", "anyone"),
        ("seen", "kept"),
        ("rest", "timer"),
    ]
    walk = [(tick, look.words) for tick, look in found["guest"].course]
    assert walk == [(0, "lawn"), (1, "lawn to grotto"), (10, "grotto")]
    assert [(tick, look.words) for tick, look in found["seen"].course] == [
        (0, "dead"),
        (11, "live"),
    ]
    assert [look.left for _, look in found["rest"].course] == [0, 20, 0]


def test_a_gate_is_lit_while_its_condition_holds() -> None:
    where = system(
        """design gates {
          left : lever  right : lever  bulb : lamp  mains : supply(2)  hub : relay
          mains -> hub  hub.make -> bulb
          hub.coil when (left and not right) or left starts
          claim c: never bulb
        }"""
    )
    run = trace(
        where, (2, {"left.hand": 1}), (1, {"left.hand": 0}), (4, {"right.hand": 1}), (3, {})
    )
    seen = reasons(where, run)

    def at(path: str, tick: int) -> bool:
        return tick >= 0 and seen.readings.at(path, tick) > 0

    def both(tick: int) -> bool:
        return at("left.out", tick) and not at("right.out", tick)

    def either(tick: int) -> bool:
        return both(tick) or (at("left.out", tick) and not at("left.out", tick - 1))

    meant = {"and": both, "or": either}
    found = plan(survey(where.design))
    gates = set()
    for thing, wire in zip(wires(seen, found, "w"), in_order(found), strict=True):
        kind = wire.key.partition(" ")[0]
        if kind in meant:
            gates.add(kind)
            assert len(thing.ids) == 2
            for tick in range(seen.readings.length):
                shown = next(look for start, look in reversed(thing.course) if start <= tick)
                assert (shown.classes == "live") == meant[kind](tick), (kind, tick)
    assert gates == {"and", "or"}
