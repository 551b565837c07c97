"""Waveforms, read back by another reader and compared with the reference simulator."""

import re
from itertools import pairwise
from pathlib import Path

import pytest
from vcdvcd import VCDVCD

from tests.report.make import VESTIBULE, systems
from tests.report.test_readings import GARDEN
from verifier.report.waveform import (
    KEYWORDS,
    MOST_STEPS,
    Names,
    legal,
    step_of,
    timescale,
    waveform,
)
from verifier.simulate.told import Held, played
from verifier.simulate.watch import watch
from verifier.system.model import System

ROWS = """design rows {
  tick 250 ms
  mains : supply(9)
  feed : divider(ways: 3)
  mains -> feed
  keep hours: count 0 .. 5
  hours becomes hours + 1 when go and hours < 5
  go : button
  glow : pulse(2 s)
  feed.way[2] -> glow
  go -> glow.start
}"""


def values(text: str, folder: Path) -> VCDVCD:
    path = folder / "run.vcd"
    path.write_text(text, encoding="ascii")
    return VCDVCD(str(path))


def compare(where: System, length: int, folder: Path) -> None:
    """Every value of every net and timer, at every tick."""
    trace = played(where, [Held(0, 1, 3, 6), Held(0, 1, 12, 14)], length)
    readings = watch(where, trace).readings
    read = values(waveform(where.design, readings), folder)
    names = Names(legal(where.design.name))
    each = timescale(where.design.tick_ns)[1]
    by_name = {re.sub(r"\[\d+:0\]$", "", name): name for name in read.references_to_ids}
    paths = [one.path for one in where.design.nets] + [one.path for one in where.design.timers]
    for path in paths:
        scopes, name = names.of(path)
        signal = read[by_name[".".join((*scopes, name))]]
        for tick in range(length):
            told = signal[tick * each]
            timer = path in readings.timers
            wanted = readings.left(path, tick) if timer else readings.at(path, tick)
            assert int(told, 2) == wanted, (path, tick)


@pytest.mark.parametrize("text", [VESTIBULE, ROWS, GARDEN], ids=["vestibule", "rows", "garden"])
def test_a_run_reads_back_tick_by_tick(text: str, tmp_path: Path) -> None:
    compare(systems(text)[0], 90, tmp_path)


@pytest.mark.parametrize(
    ("tick_ns", "scale"),
    [
        (100_000_000, ((100, "ms"), 1)),
        (10_000_000, ((10, "ms"), 1)),
        (250_000_000, ((10, "ms"), 25)),
        (1_000_000_000, ((1, "s"), 1)),
        (60_000_000_000, ((10, "s"), 6)),
        (3, ((1, "ns"), 3)),
    ],
)
def test_a_tick_is_a_whole_number_of_a_legal_scale(
    tick_ns: int, scale: tuple[tuple[int, str], int]
) -> None:
    """IEEE 1364-2005, 18.2.3.6 (from memory): 1, 10 or 100 of s, ms, us, ns, ps or fs."""
    assert timescale(tick_ns) == scale


def test_names_are_legal_and_differ() -> None:
    names = Names("top")
    paths = ["a.way[1]", "a.way_1", "a.way[1].input", "input", "a.way[1].end", "a"]
    found = [".".join((*scopes, name)) for scopes, name in map(names.of, paths)]
    assert len(set(found)) == len(paths)
    for one in found:
        for word in one.split("."):
            assert re.fullmatch(r"[A-Za-z_][A-Za-z0-9_$]*", word)
            assert word not in KEYWORDS


def test_centuries_make_a_small_file_of_values_rounded_up_to_what_is_told(tmp_path: Path) -> None:
    text = """design slow {
  tick 10 ms
  mains : supply(2)
  hand : button
  long : pulse(876000 h)
  mains -> long
  hand -> long.start
}"""
    where = systems(text)[0]
    years = 876_000 * 3600 * 100
    trace = played(where, [Held(0, 1, 3, 6)], years + 20)
    readings = watch(where, trace).readings
    dump = waveform(where.design, readings)
    assert len(dump) < 12_000
    (timer,) = [one for one in where.design.timers if one.path == "long.left"]
    step = step_of(timer)
    assert f"long.left: rounded up to {step} ticks" in dump
    read = values(dump, tmp_path)
    (name,) = [one for one in read.references_to_ids if ".long.left" in one]
    left = read[name]
    assert int(left[4], 2) == years
    told = [tick for tick, _ in left.tv if 4 <= tick <= 4 + years]
    assert len(told) == MOST_STEPS + 1
    for tick, until in pairwise(told):
        for at in (tick, until - 1):
            assert 0 <= int(left[tick], 2) - (4 + years - at) < step
    assert int(left[4 + years], 2) == 0


def test_options_of_a_choice_stand_in_the_comment() -> None:
    (where,) = systems(GARDEN)
    text = waveform(where.design, watch(where, played(where, [], 3)).readings)
    assert "mode: 0 calm, 1 loud" in text.split("$end")[0]


@pytest.mark.parametrize(
    ("name", "word"),
    [("way[1]", "way_1"), ("3rd", "_3rd"), ("wire", "wire_"), ("!", "_"), ("lamp", "lamp")],
)
def test_names_are_made_legal(name: str, word: str) -> None:
    assert legal(name) == word


def test_a_claim_shares_its_names_with_nothing_else(tmp_path: Path) -> None:
    where = systems("""design hall {
  hand : button
  mains : supply(1)
  fed : bench
  let broken = hand
  mains -> fed
}
kind bench { in feed: power  uses 2 of feed  let broken = not fed  out o: signal = broken }""")[0]
    (asked,) = where.questions
    readings = watch(where, played(where, [Held(0, 1, 3, 6)], 9), asked.bad).readings
    read = values(waveform(where.design, readings, asked.name), tmp_path)
    told = {
        name: [int(read[name][tick], 2) for tick in range(9)] for name in read.references_to_ids
    }
    assert told["hall.broken"] == [0, 0, 0, 1, 1, 1, 0, 0, 0]
    assert told["hall.fed.broken"] == told["hall.fed_.broken"] == [1] * 9
