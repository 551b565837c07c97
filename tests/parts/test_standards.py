"""Parts that a standard defines, against readings of the standard, under levels chosen at random.

The parts that keep state answer one tick after the standard's scan, as their texts say: there the
reading is compared with what the part shows a tick later.
"""

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.parts.bench import Bench, bench, levels, traced
from tests.parts.readings import Block, Ctd, Ctu, FTrig, Rs, RTrig, Sr, Tof, Ton, Tp

TWO = "free a: signal\nfree b: signal\n"
POWER = "mains : supply(5)\nmains -> part\n"

LATCHES = {
    wins: bench(f"{TWO}part : latch(wins: {wins})\na -> part.set\nb -> part.reset", "part.out")
    for wins in ("set", "reset")
}
EDGES = {
    way: bench(f"{TWO}part : edge(way: {way})\na -> part", "part.out")
    for way in ("rising", "falling")
}
UP = bench(f"{TWO}part : counter(3, most: 5)\na -> part.up\nb -> part.reset", "part.full")
DOWN = bench(f"{TWO}part : counter(3)\na -> part.down\nb -> part.load", "part.empty")


def timer(kind: str, span: int) -> Bench:
    return bench(f"{TWO}part : {kind}({span} ticks)\n{POWER}a -> part.start", "part.on")


TIMERS = {
    (kind, span): timer(kind, span)
    for kind in ("pulse", "on_delay", "off_delay")
    for span in (1, 2, 5)
}


def same(part: Bench, block: Block, one: Sequence[bool], other: Sequence[bool], late: int) -> None:
    """Compare a part with a block, whose answers the part gives `late` ticks later."""
    ticks = min(len(one), len(other))
    shown = traced(part.run({"a": one[:ticks], "b": other[:ticks]}), part.shown[0])
    expected = [block.scan(one[tick], other[tick]) for tick in range(ticks)]
    assert shown[late:] == expected[: ticks - late]


@given(levels(), levels())
def test_set_dominant_latch(one: list[bool], other: list[bool]) -> None:
    same(LATCHES["set"], Sr(), one, other, late=1)


@given(levels(), levels())
def test_reset_dominant_latch(one: list[bool], other: list[bool]) -> None:
    same(LATCHES["reset"], Rs(), one, other, late=1)


@given(levels())
def test_rising_edge(one: list[bool]) -> None:
    same(EDGES["rising"], RTrig(), one, one, late=0)


@given(levels())
def test_falling_edge(one: list[bool]) -> None:
    same(EDGES["falling"], FTrig(), one, one, late=0)


@given(levels(2), levels(3))
def test_count_up(one: list[bool], other: list[bool]) -> None:
    same(UP, Ctu(pv=3, top=5), one, other, late=1)


@given(levels(2), levels(3))
def test_count_down(one: list[bool], other: list[bool]) -> None:
    same(DOWN, Ctd(pv=3), one, other, late=1)


@given(levels(), st.sampled_from((1, 2, 5)))
def test_pulse(one: list[bool], span: int) -> None:
    same(TIMERS["pulse", span], Tp(span), one, one, late=1)


@given(levels(), st.sampled_from((1, 2, 5)))
def test_on_delay(one: list[bool], span: int) -> None:
    same(TIMERS["on_delay", span], Ton(span), one, one, late=0)


@given(levels(), st.sampled_from((1, 2, 5)))
def test_off_delay(one: list[bool], span: int) -> None:
    same(TIMERS["off_delay", span], Tof(span), one, one, late=0)


def test_a_wrong_reading_is_noticed() -> None:
    with pytest.raises(AssertionError):
        same(LATCHES["set"], Rs(), [True, True, False], [True, True, False], late=1)
