"""What a report shows of a run is what the reference simulator goes through, tick by tick."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.report.make import VESTIBULE, system, trace
from verifier.design.model import Choice, Flag, Number
from verifier.report.history import Leaf, Left, Place, Run
from verifier.report.readings import (
    leaf_nets,
    leaf_runs,
    timer_runs,
    walker_runs,
)
from verifier.simulate.watch import watch
from verifier.system.cone import whole
from verifier.system.model import System
from verifier.system.program import program
from verifier.system.state import start_of
from verifier.verdict.trace import Step, Trace

GARDEN = """\
design garden {
  tick 100 ms
  rooms lawn, hall
  passage lawn <-> hall when gate.open takes 1 s
  walker guest starts in lawn
  free mode: one of (calm, loud)
  free level: count 0 .. 3
  keep seen: count 0 .. 5
  seen becomes seen + 1 when tread starts and seen < 5
  keep old: one of (calm, loud)
  old becomes calm when mode is calm, loud when mode is loud
  mains : supply(5)
  feed  : divider(ways: 2)
  ask   : button
  hold  : pulse(3 s, again: yes)
  gate  : door(opens: 1 s, shuts: 2 s)
  late  : on_delay(700 ms)
  tread : plate(room: hall)
  sun   : daylight(day: 2 s, night: 1 s)
  mains -> feed
  feed.way[1] -> hold -> gate
  feed.way[2] -> late
  ask -> hold.start
  late.start when level >= 2
  keep pause: timer
  pause loads 2 s when ask starts
  pause runs while mode is calm
}
"""
WHOLE = {"vestibule": system(VESTIBULE), "garden": system(GARDEN)}


def by_ticks(where: System, run: Trace) -> list[dict[str, int]]:
    """Return the value of every net and timer at every tick, in the reference simulator."""
    nodes = tuple(dict.fromkeys(node for bits in where.shown.values() for node in bits.nodes))
    place = {node: number for number, node in enumerate(nodes)}
    shapes = {net.path: net.shape for net in where.design.nets}
    runner = program(whole(where, nodes))
    at = run.start or start_of(where)
    found: list[dict[str, int]] = []
    for step in run.steps:
        for _ in range(step.ticks):
            after, values = runner.step(at, step.choices, step.draws)
            now: dict[str, int] = {}
            for path, bits in where.shown.items():
                if bits.timer is not None:
                    now[path] = at.clocks[bits.timer]
                    continue
                live = [values[place[node]] for node in bits.nodes]
                match shapes[path]:
                    case Flag():
                        now[path] = int(live[0])
                    case Number():
                        now[path] = bits.low + sum(live)
                    case Choice():
                        now[path] = live.index(True) if True in live else 0
            found.append(now)
            at = after
    return found


@st.composite
def runs(draw: st.DrawFn, where: System) -> Trace:
    steps = []
    for ticks in draw(st.lists(st.integers(1, 40), min_size=1, max_size=12)):
        choices = tuple(draw(st.integers(0, len(one.options) - 1)) for one in where.choices)
        steps.append(Step(choices, (0,) * len(where.clocks), ticks))
    return Trace(tuple(steps))


def at(found: tuple[Run, ...], tick: int) -> Run:
    return next(run for run in found if run.start <= tick < run.end)


@pytest.mark.parametrize("name", WHOLE)
@given(data=st.data())
def test_every_value_at_every_tick(name: str, data: st.DataObject) -> None:
    where = WHOLE[name]
    run = data.draw(runs(where))
    readings = watch(where, run).readings
    timers = {timer.path: timer_runs(readings, timer) for timer in where.design.timers}
    for tick, values in enumerate(by_ticks(where, run)):
        for path, value in values.items():
            if path in readings.changes:
                assert readings.at(path, tick) == value, (path, tick)
                continue
            assert readings.left(path, tick) == value, (path, tick)
            stretch = at(timers[path], tick)
            assert isinstance(stretch.state, Left)
            since = tick - stretch.start if stretch.state.falls else 0
            assert stretch.state.ticks - since == value, (path, tick)


@pytest.mark.parametrize("name", WHOLE)
@given(data=st.data())
def test_doors_are_drawn_where_they_are(name: str, data: st.DataObject) -> None:
    where = WHOLE[name]
    run = data.draw(runs(where))
    readings = watch(where, run, calm=40).readings
    values = by_ticks(where, run)
    doors = [(part, nets) for part in where.design.parts if (nets := leaf_nets(part))]
    assert doors
    for part, nets in doors:
        found = leaf_runs(readings, part, nets)
        assert found[-1].end == readings.length
        for tick, now in enumerate(values):
            state = at(found, tick).state
            assert (state is Leaf.SHUT) == bool(now[f"{part.path}.shut"])
            assert (state is Leaf.OPEN) == bool(now[f"{part.path}.open"])
            # What the standard door keeps says where it is bound; the report must find it out.
            if state in (Leaf.OPENING, Leaf.SHUTTING):
                assert (state is Leaf.OPENING) == bool(now[f"{part.path}.wanted"])


@given(data=st.data())
def test_walkers_are_drawn_where_they_are(data: st.DataObject) -> None:
    where = WHOLE["garden"]
    run = data.draw(runs(where))
    (walker,) = where.design.walkers
    shape = walker.place.shape
    assert isinstance(shape, Choice)
    found = walker_runs(watch(where, run).readings, walker, shape.options)
    for tick, now in enumerate(by_ticks(where, run)):
        state = at(found, tick).state
        assert isinstance(state, Place)
        assert (state.name == "hall") == bool(now["tread.out"])
        assert state.between == (state.name not in ("lawn", "hall"))


def test_a_run_is_followed_until_it_rests() -> None:
    where = WHOLE["vestibule"]
    seen = watch(where, trace(where, (1, {"ask_out.hand": 1}), (2, {})), calm=40)
    assert seen.rests
    assert seen.end == 3
    assert seen.readings.changes["outer.shut"][-1] == (92, 1)


def test_a_run_that_comes_again_is_told_so() -> None:
    where = system(
        "design d { tick 1 s mains : supply(2) spark : flasher(lit: 2 s, dark: 3 s)"
        " mains -> spark }"
    )
    seen = watch(where, trace(where, (1, {})), calm=40, again=True)
    assert seen.again is not None
    assert seen.again.period == 5


def test_a_part_without_the_four_names_is_no_door() -> None:
    where = WHOLE["garden"]
    parts = {part.path: part for part in where.design.parts}
    assert leaf_nets(parts["gate"]) is not None
    assert leaf_nets(parts["hold"]) is None


def test_an_own_kind_with_the_four_names_is_a_door() -> None:
    where = system(
        """
        kind hatch {
          in told: signal
          keep up: flag
          keep left: timer
          up becomes told
          left loads 300 ms when told != up
          let moving = left > 0 s
          let open = up and not moving
          let shut = not up and not moving
          out ajar: signal = not shut
        }
        design d { free hand: signal lid : hatch lid.told when hand }
        """
    )
    (part,) = where.design.parts
    nets = leaf_nets(part)
    assert nets is not None
    run = trace(where, (5, {"hand": 1}), (5, {}))
    found = leaf_runs(watch(where, run, calm=9).readings, part, nets)
    assert [one.state for one in found] == [
        Leaf.SHUT,
        Leaf.OPENING,
        Leaf.OPEN,
        Leaf.SHUTTING,
        Leaf.SHUT,
    ]
