"""Runs near a run: how far presses may move, what is needed, and what leaves more room."""

from dataclasses import replace

from tests.properties.plants import plant
from tests.report.make import VESTIBULE, question, system, trace
from verifier.engines.decide import Decider, Effort
from verifier.simulate.presses import Plan, Press
from verifier.simulate.variations import ROOM, Variations, shifted, shortened
from verifier.system.model import Form
from verifier.verdict.answer import Outcome, Verdict
from verifier.verdict.replay import replay
from verifier.verdict.trace import State, Trace

WHERE = system(VESTIBULE)
APART = question(WHERE, "apart")
LONG = trace(
    WHERE,
    (7, {}),
    (2, {"ask_out.hand": 1}),
    (30, {}),
    (90, {}),
    (3, {"ask_out.hand": 1, "ask_in.hand": 1}),
    (1, {}),
)
PLACED = """\
design placed {
  tick 100 ms
  first  : button
  second : button
  lag    : pulse(1 s)
  mains  : supply(2)
  mains -> lag
  first -> lag.start
  claim c: never lag.left = 300 ms and second starts
  claim d: never lag.left <= 500 ms and lag.left >= 200 ms and second starts
}
"""


def near(where_text: str, claim: str, *steps: tuple[int, dict[str, int]]) -> Variations:
    where = system(where_text)
    asked = question(where, claim)
    return Variations.of(where, asked.bad, trace(where, *steps), anywhere=False)


def test_a_long_run_is_made_as_short_as_the_vestibule_allows() -> None:
    short = shortened(WHERE, APART, Outcome(Verdict.FAILS, trace=LONG))
    assert short.trace is not None
    assert short.trace.length == 3
    assert replay(WHERE, short.trace, APART.bad, anywhere=False).ruling.sound
    found = Variations.of(WHERE, APART.bad, short.trace, anywhere=False)
    assert [press.stop - press.start for press in found.plan.presses] == [1, 1]


def test_no_press_of_the_vestibule_can_be_left_out() -> None:
    found = Variations.of(WHERE, APART.bad, LONG, anywhere=False).shortest()
    assert [found.without(press) for press in found.plan.presses] == [None, None]


def test_a_press_that_is_not_needed_is_told_with_when_it_fails_without_it() -> None:
    found = Variations.of(WHERE, APART.bad, LONG, anywhere=False)
    first = found.plan.presses[0]
    assert first.start == 7
    assert found.without(first) == LONG.length - 2


def test_both_doors_fail_when_the_requests_come_a_tick_apart_either_way() -> None:
    # By hand: a door begins to move two ticks after its press, and bars the other from then on.
    found = Variations.of(WHERE, APART.bad, LONG, anywhere=False).shortest()
    room = found.room(1)
    assert (room.sooner, room.later) == (1, 1)


def test_a_knife_edge_has_no_room() -> None:
    found = near(PLACED, "c", (1, {"first.hand": 1}), (7, {}), (1, {"second.hand": 1}))
    assert found.room(1).width == 0
    assert found.tightness() == 0
    assert found.roomy() is None


def test_a_window_is_measured_to_the_tick() -> None:
    # The pulse shows 1 s at tick 1, so 500 ms at tick 6 and 200 ms at tick 9.
    found = near(PLACED, "d", (1, {"first.hand": 1}), (6, {}), (1, {"second.hand": 1}))
    room = found.room(1)
    assert (room.sooner, room.later) == (1, 2)
    assert not room.open_later
    assert found.tightness() == ROOM


def test_the_first_press_may_come_at_any_time() -> None:
    found = near(PLACED, "d", (1, {"first.hand": 1}), (6, {}), (1, {"second.hand": 1}))
    assert found.room(0).open_later


def test_earlier_presses_wait_where_a_later_one_would_come_before_the_start() -> None:
    plan = Plan(9, (Press(0, 1, 0, 1), Press(2, 3, 1, 1)), ())
    moved = shifted(plan, 1, -4)
    assert moved is not None
    assert {press.choice: press.start for press in moved.presses} == {0: 2, 1: 0}


def test_presses_of_one_hand_do_not_touch() -> None:
    plan = Plan(9, (Press(0, 1, 0, 1), Press(3, 4, 0, 1)), ())
    assert shifted(plan, 1, -2) is None
    assert shifted(plan, 1, -1) is not None


def test_every_roomy_run_is_one_that_the_judge_takes_and_has_room() -> None:
    looser = 0
    for seed in range(120):
        where, target = plant(seed)
        asked = replace(APART, bad=target, form=Form.AVOID)
        outcome = shortened(where, asked, Decider(where, Effort(seconds=0.02)).decide(asked))
        if outcome.trace is None:
            continue
        found = Variations.of(where, target, outcome.trace, anywhere=False)
        if found.tightness() > 0:
            continue
        roomy = found.roomy()
        run = None if roomy is None else roomy.trace()
        if roomy is None or run is None:
            continue
        looser += 1
        assert replay(where, run, target, anywhere=False).ruling.sound
        assert run.length >= outcome.trace.length or not outcome.earliest
        for place in range(len(roomy.plan.presses)):
            assert roomy.room(place).width >= ROOM
    assert looser > 0


ANYWHERE = """\
design yard {
  tick 100 ms
  go : button
  keep a: flag
  keep b: flag = yes
  keep n: count 0 .. 5
  keep t: timer
  keep u: timer
  a becomes yes when n = 5
  b becomes no when n = 4
  n becomes n + 1 when go
  t loads 2 s when go and a
  u loads 3 s when go
  claim c: from anywhere: never go and t > 500 ms and n = 3
}
"""


def test_a_run_from_anywhere_begins_like_the_design_but_for_what_it_needs() -> None:
    where = system(ANYWHERE)
    asked = question(where, "c")
    steps = trace(where, (3, {}), (1, {"go.hand": 1})).steps
    bits = {node.data[0] for node in where.shown["n"].nodes[:3]}
    kept = {node.data[0] for path in "ab" for node in where.shown[path].nodes} | bits
    odd = {where.shown["a"].nodes[0].data[0], *bits}
    start = State(
        tuple(at in odd if at in kept else one.start for at, one in enumerate(where.registers)),
        tuple(15 if one.name in ("t", "u") else one.start for one in where.clocks),
    )
    given = Trace(steps, start)
    assert replay(where, given, asked.bad, anywhere=True).ruling.sound
    found = shortened(where, asked, Outcome(Verdict.FAILS, trace=given)).trace
    assert found is not None
    assert found.start is not None
    assert replay(where, found, asked.bad, anywhere=True).ruling.sound
    live = {one.name for one, on in zip(where.registers, found.start.registers, strict=True) if on}
    assert not any(name.startswith("a") for name in live)  # put back to dead
    assert any(name.startswith("b") for name in live)  # put back to live
    assert [found.start.clocks[where.shown[path].timer or 0] for path in "tu"] == [15, 0]
    assert sum(found.start.registers[at] for at in bits) == 3
