"""Rhythms in words: settling, rounds, shares, units, and what is said of a run left alone."""

import json
from dataclasses import replace
from fractions import Fraction
from importlib.resources import files

import jsonschema
import pytest

from tests.report.make import paper
from tests.tuning.ready import made
from verifier.report.clock import Clock
from verifier.report.record import text_of
from verifier.report.rhythm import hundredths, percent, summary, write_rhythm
from verifier.report.rhythm_record import rhythm_record
from verifier.system.lower import lower
from verifier.tuning.cycle import Astray, Loop
from verifier.tuning.rhythm import Beat, Draw, Rhythm, rhythm_of
from verifier.tuning.rhythm_bounds import UNKNOWN, AllRuns, Bounds, End, Extent
from verifier.tuning.rhythm_items import Item, Sort
from verifier.tuning.units import Extreme
from verifier.verdict.trace import Trace

CLOCK = Clock(100_000_000)
NIGHT = made("""\
design night {
  tick 100 ms
  hand  : button
  sun   : daylight(day: 3 s, night: 2 s)
  mains : supply(3)
  gloom : pulse(1 s)
  lamp  : lamp
  bell  : bell
  feed  : divider(ways: 2)
  mains -> feed
  feed.way[1] -> gloom -> lamp
  gloom.start when not sun
  claim calm: bell.rings returns
}
""")
ROUND = rhythm_of(NIGHT, lower(NIGHT), Trace(()))
REST = Loop(0, None, Trace(()), 1, drawn=False)
ASTRAY = Astray(9_000, Trace(()), 20_000, drawn=False)


def told(found: Rhythm, all_runs: AllRuns | None = None, *, pressed: bool = False) -> str:
    board, stream = paper(100)
    write_rhythm(board, found, (), all_runs, pressed=pressed)
    return stream.getvalue()


def words(found: Rhythm, all_runs: AllRuns | None = None, *, pressed: bool = False) -> str:
    return " ".join(told(found, all_runs, pressed=pressed).split())


def beat(name: str, *on: tuple[int, int], period: int = 50) -> Beat:
    (item,) = (one.item for one in ROUND.beats if one.item.name == name)
    return Beat(item, 0, period, on)


# --- in a sentence --------------------------------------------------------------------------------


def test_a_round_in_a_sentence_lamps_first() -> None:
    assert summary(ROUND, CLOCK).startswith(
        "Settles after 0.1 s into a loop of 5 s; lamp is lit 1 s of it,"
    )
    at_once = replace(ROUND, loop=Loop(0, 50, Trace(()), 9, drawn=False), beats=())
    assert summary(at_once, CLOCK) == "Runs at once in a loop of 5 s."
    late = replace(ROUND, loop=Loop(12, 50, Trace(()), 9, drawn=False), beats=())
    assert summary(late, CLOCK) == "Settles after 1.2 s into a loop of 5 s."


@pytest.mark.parametrize(
    ("loop", "sentence"),
    [
        (REST, "Rests from the start on: nothing changes any more."),
        (replace(REST, settles=25), "Comes to rest after 2.5 s: nothing changes any more."),
        (ASTRAY, "No loop was found: in 20,000 events, up to 15 min, no state came again."),
    ],
)
def test_no_round_in_a_sentence(loop: Loop | Astray, sentence: str) -> None:
    assert summary(replace(ROUND, loop=loop), CLOCK) == sentence


def test_what_has_to_be_said_besides() -> None:
    assert "nobody presses anything, nobody walks. In each" in words(ROUND)
    assert "Use --press to set something off." in words(replace(ROUND, loop=REST))
    assert "nobody presses" not in words(ROUND, pressed=True)
    assert "After the presses asked for, nobody does anything any more." in words(
        ROUND, pressed=True
    )
    assert "This run breaks what the design assumes, at 0.7 s: it does not count." in words(
        replace(ROUND, breaks=7)
    )
    varies = replace(ROUND, varies=True)
    assert "each span is at its shortest." in words(varies)
    assert "are worked out only without presses" not in words(varies)
    assert "are worked out only without presses" in words(varies, pressed=True)


# --- the table ------------------------------------------------------------------------------------


def test_many_stretches_are_cut_short() -> None:
    often = beat("lamp", *((n, n + 1) for n in range(0, 12, 2)))
    lines = told(replace(ROUND, beats=(often, beat("bell")))).splitlines()
    at = next(n for n, line in enumerate(lines) if line.startswith("  lamp"))
    assert lines[at].split() == ["lamp", "0.6", "s", "12.0", "%", "6", "0.0", "s", "0.1", "s"]
    assert [line.split() for line in lines[at + 1 : at + 4]] == [
        ["0.2", "s", "0.3", "s"],
        ["0.4", "s", "0.5", "s"],
        ["0.6", "s", "0.7", "s"],
    ]
    assert lines[at + 4].split() == ["…", "and", "2", "more"]
    assert "Never on: bell." in lines[at + 5]


def test_rounds_of_their_own_have_their_lengths() -> None:
    astray = replace(
        ROUND,
        loop=ASTRAY,
        beats=(beat("lamp", (0, 5), (7, 9), period=20), beat("bell")),
        lost=(beat("sun").item,),
    )
    text = words(astray)
    assert "These come again by themselves, each in a round of its own:" in text
    assert "on for share times from until each lamp 0.7 s 35.0 % 2 0.0 s 0.5 s 2 s 0.7 s" in text
    assert text.endswith("Not found to come again: sun. " + text.split("sun. ")[-1])
    assert "One round:" not in text


def test_at_rest_nothing_is_listed_but_what_is_drawn() -> None:
    still = replace(ROUND, loop=REST, beats=(beat("bell"),), seen=ROUND.round())
    assert "Never on" not in words(still)
    assert "How it comes to rest:" in words(still)


@pytest.mark.parametrize(
    ("share", "text"),
    [
        (Fraction(0), "0.0 %"),
        (Fraction(1, 3000), "< 0.1 %"),
        (Fraction(1, 1000), "0.1 %"),
        (Fraction(1, 3), "33.3 %"),
        (Fraction(2, 3), "66.7 %"),
        (Fraction(2999, 3000), "> 99.9 %"),
        (Fraction(1), "100.0 %"),
    ],
)
def test_shares(share: Fraction, text: str) -> None:
    assert percent(share) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (Fraction(2), "2"),
        (Fraction(5, 2), "2.5"),
        (Fraction(9, 4), "2.25"),
        (Fraction(1, 3), "about 0.33"),
        (Fraction(1999, 1000), "about 2"),
    ],
)
def test_averages(value: Fraction, text: str) -> None:
    assert hundredths(value) == text


# --- units ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("loop", "draw", "text"),
    [
        (
            ROUND.loop,
            Draw(1, 1, 1, Fraction(1), 3),
            "Units drawn: always 1. The supply gives 3 units.",
        ),
        (
            ROUND.loop,
            Draw(2, 1, 3, Fraction(5, 4), 0),
            "Units drawn: 2 at the start; in a round at least 1, at most 3, on average 1.25. One",
        ),
        (
            REST,
            Draw(2, 0, 3, Fraction(1), 1),
            "2 at the start; on the way to rest at least 0, at most 3. The supply gives 1 unit.",
        ),
        (ASTRAY, Draw(2, 0, 3, Fraction(1), 1), "as far as it was followed at least 0, at most 3."),
    ],
)
def test_units_drawn(loop: Loop | Astray, draw: Draw, text: str) -> None:
    assert text in words(replace(ROUND, loop=loop, draw=draw))


def test_no_word_of_units_where_nothing_draws_any() -> None:
    assert "Units drawn" not in words(replace(ROUND, draw=Draw(0, 0, 0, Fraction(0), 0)))


# --- all runs -------------------------------------------------------------------------------------


def bounds(name: str, on: Extent, steady: bool | None = None) -> Bounds:
    return Bounds(beat(name).item, steady, on, UNKNOWN, UNKNOWN)


SURE = Extent(End(10, exact=True), End(30, exact=True))


def extreme(met: int, proved: int, until: int | None = None) -> Extreme:
    return Extreme(met, proved, Trace(()), until)


def test_the_least_and_the_most_in_all_runs() -> None:
    same = Extent(End(10, exact=True), End(10, exact=True))
    found = AllRuns(
        (
            Bounds(beat("lamp").item, None, SURE, same, SURE),
            bounds("sun", UNKNOWN, steady=True),
            bounds("bell", UNKNOWN, steady=False),
        ),
        (extreme(0, 0), extreme(3, 3)),
    )
    text = words(ROUND, found)
    assert "on for off for a round lamp 1 s to 3 s 1 s 1 s to 3 s" in text
    assert "Proved to be on all the time: sun. Proved never to be on: bell." in text
    assert "Units drawn in all runs: at least 0, at most 3." in text
    assert "~" not in text
    assert "? not known" not in text


def test_signs_in_the_table_are_explained() -> None:
    near = Extent(End(10), End(30, exact=True))
    text = words(ROUND, AllRuns((Bounds(beat("lamp").item, None, near, SURE, SURE),), None))
    assert "lamp ~1 s to 3 s" in text
    assert "~ proved never to be passed" in text
    assert "? not known" not in text
    text = words(ROUND, AllRuns((bounds("lamp", SURE),), None))
    assert "lamp 1 s to 3 s ? to ? ? to ?" in text
    assert "? not known: no bound was proved" in text


def test_signs_of_units_mean_the_same() -> None:
    """What is told is proved: no run draws more than 5, though 3 is the most that one was seen to.

    What is proved up to a time only is no bound of all runs.
    """
    text = words(ROUND, AllRuns((), (extreme(1, 1, until=60), extreme(3, 5))))
    assert "Units drawn in all runs: at least ?, at most ~5." in text
    assert "~ proved never to be passed" in text
    assert "? not known: no bound was proved" in text


def test_kinds_of_items_have_their_verbs() -> None:
    door = made(
        "design d {\n  tick 100 ms\n  sun : daylight(day: 3 s, night: 2 s)\n"
        "  gate : door(opens: 500 ms, shuts: 500 ms)\n  gong : bell\n  mains : supply(2)\n"
        "  feed : divider(ways: 2)\n  mains -> feed\n  way : relay\n  feed.way[1] -> way.feed\n"
        "  way.make -> gong\n  feed.way[2] -> gate\n  sun -> way.coil\n  gate.told when sun\n}\n"
    )
    found = rhythm_of(door, lower(door), Trace(()))
    said = summary(found, CLOCK)
    assert "gong rings 3 s of it, gate is open 2.5 s of it" in said
    assert any(one.item == Item("gate.ajar", Sort.DOOR, one.item.net) for one in found.beats)


def test_units_of_all_runs_in_a_record_are_those_that_a_run_shows() -> None:
    found = AllRuns((), (extreme(1, 1), extreme(3, 5)))
    record = json.loads(text_of(rhythm_record(ROUND, (), found)))
    text = files("verifier.report").joinpath("rhythm.schema.json").read_text(encoding="utf-8")
    jsonschema.Draft202012Validator(json.loads(text)).validate(record)
    assert record["drawn_in_all_runs"] == {
        "least": {"units": 1, "exact": True},
        "most": {"units": 3, "exact": False},
    }
    assert json.loads(text_of(rhythm_record(ROUND, (), None)))["drawn_in_all_runs"] is None
