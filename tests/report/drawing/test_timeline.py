"""The time diagram as SVG shows what the terminal shows."""

from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest

from tests.report.make import VESTIBULE, systems
from verifier.report.clock import Clock
from verifier.report.drawing.strips import COLUMN, Paper
from verifier.report.drawing.svg import fitted, text_width
from verifier.report.drawing.timeline import Mark, sheets, timeline
from verifier.report.folding import Stretch
from verifier.report.history import (
    Amount,
    History,
    Kept,
    Leaf,
    Left,
    Level,
    Moment,
    Place,
    Row,
    Run,
    Standing,
    State,
)
from verifier.report.simulation import simulation
from verifier.simulate.told import Held, played
from verifier.simulate.watch import Again

ALL_STATES = (
    Level(live=True),
    Amount(0, 0, units=True),
    Amount(6, 0, units=True),
    Amount(1, 4, units=True),
    Left(40, 50, falls=True),
    Left(40, 50, falls=False),
    *Leaf,
    Place("<lawn> & \x1b", between=False),
    Place("lawn -> walk", between=True),
    Standing("on", rest=False),
    Kept(broken=True),
)


def parsed(text: str) -> ET.Element:
    return ET.fromstring(text)  # noqa: S314 - what we wrote ourselves


def classed(root: ET.Element, name: str) -> list[ET.Element]:
    return [one for one in root.iter() if name in (one.get("class") or "").split()]


def test_every_state_is_drawn_and_every_letter_is_shown() -> None:
    rows = [
        Row(f"r{at}", (Run(0, 40, state), Run(40, 900, Level(live=False))))
        for at, state in enumerate(ALL_STATES)
    ]
    moment = Moment(40, "a < b & c", broken=True)
    history = History(Clock(100_000_000), 900, tuple(rows), moment, Again(40, 10, 7))
    text = timeline(history, "x & y")
    root = parsed(text)
    assert "\x1b" not in text
    assert len(classed(root, "row")) == len(ALL_STATES)
    assert classed(root, "broken-at")
    assert classed(root, "stitch")
    assert any(one.text == "× 7 more" for one in root.iter())
    assert any(one.text == "1 of 4" for one in root.iter())
    assert all("NaN" not in (one.get("d") or "") for one in root.iter())
    assert text == timeline(history, "x & y")


def test_runs_of_a_simulation_tell_their_ticks() -> None:
    where = systems(VESTIBULE)[0]
    found = simulation(where, played(where, [Held(0, 1, 3, 6)], 20), onward=True)
    root = parsed(timeline(found.history, where.design.name))
    drawn = {
        (row.get("data-row"), int(run.get("data-start", "")), int(run.get("data-end", "")))
        for row in classed(root, "row")
        for run in classed(row, "run")
    }
    assert drawn == {
        (row.name, run.start, run.end) for row in found.history.rows for run in row.runs
    }
    folds = [one.text for one in classed(root, "length")]
    assert folds
    ids = [one.get("id") for one in root.iter() if one.get("id")]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("tick", [0, 3, 10, 60, 100, 110])
def test_ticks_lie_in_order_along_folded_paper(tick: int) -> None:
    panel = [Stretch(0, 10, 20), Stretch(10, 100, 10, folded=True), Stretch(100, 110, 20)]
    paper = Paper(panel, 50.0)
    assert paper.x(0) == 50.0
    assert paper.x(110) == 50.0 + 50 * COLUMN
    assert paper.x(tick) <= paper.x(tick + 1)
    spots = paper.along(0, max(tick, 1))
    assert [one.x for one in spots] == sorted(one.x for one in spots)


def test_long_texts_are_cut_to_their_room() -> None:
    text = fitted("a very long name of a part", 80, 12)
    assert text.endswith("…")
    assert text_width(text, 12) <= 80
    assert fitted("short", 80, 12) == "short"


def test_on_each_of_several_panels_stands_what_happens_there() -> None:
    """A run is drawn on each panel that it has a part in, and on no other."""
    ticks = range(0, 900, 9)
    blinks = tuple(Run(at, at + 9, Level(live=at % 2 == 0)) for at in ticks)
    late = (Run(0, 850, Leaf.SHUT), Run(850, 880, Leaf.OPENING), Run(880, 900, Leaf.OPEN))
    history = History(Clock(100_000_000), 900, (Row("lamp", blinks), Row("gate", late)))
    drawn = sheets(history, "blinks", "p")
    assert len(drawn) > 1
    start = 0
    for end, text in drawn:
        root = parsed(text)
        rows = {row.get("data-row"): classed(row, "run") for row in classed(root, "row")}
        for row in history.rows:
            told = [
                (int(run.get("data-start", "")), int(run.get("data-end", "")))
                for run in rows[row.name]
            ]
            inside = [run for run in row.runs if run.start < end and run.end > start]
            assert told == [(run.start, run.end) for run in inside]
        start = end
    assert start == 900


def test_a_tag_stands_on_the_panel_of_its_tick() -> None:
    row = Row("gate", (Run(0, 3, Leaf.SHUT), Run(3, 9, Leaf.OPENING)))
    history = History(Clock(100_000_000), 9, (row,))
    marks = [
        Mark("gate", 3, "1"),
        Mark("gate", 3, "2"),
        Mark("bell", 3, "3"),
        Mark("gate", 12, "4"),
    ]
    ((_, text),) = sheets(history, "one", "p", marks)
    tags = classed(parsed(text), "tag")
    assert [one.findtext("{*}text") for one in tags] == ["1", "2"]


def test_no_text_reaches_over_the_end_of_what_it_names() -> None:
    """Spans of timers, rooms and amounts are written only where there is room for them."""
    kinds: dict[str, list[State]] = {
        "wait": [Left(200, 200, falls=True), Left(0, 0, falls=False), Left(9, 9, falls=False)],
        "guest": [Place("a room with a long name"), Place("a -> b", between=True)],
        "feed": [Amount(10, 12, units=True), Amount(0, units=True)],
    }
    ticks = [0]
    for at in range(60):
        ticks.append(ticks[-1] + (200 if at % 7 == 0 else 9))
    rows = [
        Row(
            name,
            tuple(
                Run(start, end, states[at % len(states)])
                for at, (start, end) in enumerate(pairwise(ticks))
            ),
        )
        for name, states in kinds.items()
    ]
    history = History(Clock(100_000_000), ticks[-1], tuple(rows))
    texts = 0
    for _, text in sheets(history, "narrow", "p"):
        (panel,) = classed(parsed(text), "panel")
        bounds = map(int, panel.get("data-ticks", "").split())
        places = dict(zip(bounds, map(float, panel.get("data-places", "").split()), strict=True))
        for run in classed(panel, "run"):
            stop = places[int(run.get("data-end", ""))]
            for label in run.findall(".//{*}text"):
                texts += 1
                x = float(label.get("x", ""))
                assert x + text_width(label.text or "", 10.5) <= stop + 1
    assert texts
