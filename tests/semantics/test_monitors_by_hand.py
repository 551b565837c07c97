"""Monitors on rows of ticks worked out by hand from docs/semantics.md, boundaries first.

A row of ticks is written as what is live in each: "0110" says in ticks 1 and 2.
"""

import pytest

from tests.semantics.sentences import LETTERS, P, Q, R, S
from tests.semantics.table import Row
from tests.semantics.watcher import Watcher
from verifier.design.model import (
    After,
    AlwaysPossible,
    AtMostTimes,
    Eventually,
    FromUntil,
    Lasts,
    LeadsTo,
    Link,
    Never,
    NoSooner,
    OnlyAfter,
    OnlyWhile,
    Possible,
    Returns,
    Sentence,
    While,
)

THEN_R = (Link(P, None), Link(R, None))
SOON_R = (Link(P, None), Link(R, 2))


def rows(texts: dict[str, str]) -> list[Row]:
    """Return the letters that are live, tick by tick; those not named are dead."""
    length = max(map(len, texts.values()))
    return [
        frozenset(letter for letter, text in texts.items() if text.ljust(length, "0")[tick] == "1")
        for tick in range(length)
    ]


# A sentence, what is live, and the first tick in which it is broken.
CASES: list[tuple[Sentence, dict[str, str], int | None]] = [
    (Never(P), {"p": "0010"}, 2),
    (OnlyWhile(P, Q), {"p": "0110", "q": "0100"}, 2),
    (OnlyWhile(P, Q), {"p": "0110", "q": "1111"}, None),
    # A stretch: at least, at most, both.
    (Lasts(P, 3, None), {"p": "0110"}, 3),
    (Lasts(P, 3, None), {"p": "110"}, 2),
    (Lasts(P, 3, None), {"p": "01110"}, None),
    (Lasts(P, 3, None), {"p": "0011"}, None),
    (Lasts(P, 3, None), {"p": "1110110"}, 6),
    (Lasts(P, 2, None), {"p": "010"}, 2),
    (Lasts(P, 1, None), {"p": "01010"}, None),
    (Lasts(P, None, 3), {"p": "01110111"}, None),
    (Lasts(P, None, 3), {"p": "1111"}, 3),
    (Lasts(P, None, 3), {"p": "011101111"}, 8),
    (Lasts(P, None, 1), {"p": "1011"}, 3),
    (Lasts(P, None, 0), {"p": "001"}, 2),
    (Lasts(P, 2, 2), {"p": "0110"}, None),
    (Lasts(P, 2, 2), {"p": "010"}, 2),
    (Lasts(P, 2, 2), {"p": "0111"}, 3),
    # A gap, the one before the first P too.
    (Returns(P, 3), {"p": "000"}, None),
    (Returns(P, 3), {"p": "0000"}, 3),
    (Returns(P, 3), {"p": "0100010000"}, 9),
    (Returns(P, 1), {"p": "0100"}, 3),
    (Returns(P, 0), {"p": "110"}, 2),
    (Returns(P, None), {"p": "0000"}, None),
    # An answer in the same tick, in the last one, one too late.
    (LeadsTo(P, Q, 3), {"p": "1000", "q": "1000"}, None),
    (LeadsTo(P, Q, 3), {"p": "1000", "q": "0001"}, None),
    (LeadsTo(P, Q, 3), {"p": "10000", "q": "00001"}, 3),
    (LeadsTo(P, Q, 3), {"p": "1100", "q": "0000"}, 3),
    (LeadsTo(P, Q, 3), {"p": "0101000", "q": "0010000"}, 6),
    (LeadsTo(P, Q, 1), {"p": "010", "q": "000"}, 2),
    (LeadsTo(P, Q, 0), {"p": "01", "q": "00"}, 1),
    (LeadsTo(P, Q, 0), {"p": "01", "q": "01"}, None),
    (LeadsTo(P, Q, None), {"p": "0100", "q": "0000"}, None),
    # A use is earned by a chain of starts.
    (OnlyAfter(Q, (Link(P, None),), None), {"p": "00", "q": "01"}, 1),
    (OnlyAfter(Q, (Link(P, None),), None), {"p": "01", "q": "11"}, 0),
    (OnlyAfter(Q, (Link(P, None),), None), {"p": "01", "q": "01"}, None),
    (OnlyAfter(Q, (Link(P, None),), None), {"p": "1000", "q": "0101"}, None),
    (OnlyAfter(Q, (Link(P, None),), 2), {"p": "1000", "q": "0010"}, None),
    (OnlyAfter(Q, (Link(P, None),), 2), {"p": "1000", "q": "0001"}, 3),
    (OnlyAfter(Q, (Link(P, None),), 2), {"p": "1111", "q": "0001"}, 3),
    (OnlyAfter(Q, (Link(P, None),), 2), {"p": "1000", "q": "0011"}, None),
    (OnlyAfter(Q, (Link(P, None),), 0), {"p": "10", "q": "01"}, 1),
    (OnlyAfter(Q, THEN_R, None), {"p": "100", "r": "010", "q": "001"}, None),
    (OnlyAfter(Q, THEN_R, None), {"p": "100", "r": "001", "q": "001"}, None),
    (OnlyAfter(Q, THEN_R, None), {"p": "100", "r": "100", "q": "001"}, 2),
    (OnlyAfter(Q, THEN_R, None), {"p": "010", "r": "100", "q": "001"}, 2),
    (OnlyAfter(Q, THEN_R, None), {"p": "100", "r": "000", "q": "001"}, 2),
    (OnlyAfter(Q, SOON_R, None), {"p": "1000", "r": "0010", "q": "0001"}, None),
    (OnlyAfter(Q, SOON_R, None), {"p": "1000", "r": "0001", "q": "0001"}, 3),
    (OnlyAfter(Q, THEN_R, 2), {"p": "1000", "r": "0100", "q": "0001"}, None),
    (OnlyAfter(Q, THEN_R, 2), {"p": "10000", "r": "01000", "q": "00001"}, 4),
    (OnlyAfter(Q, (Link(P, None), Link(P, None)), None), {"p": "101", "q": "001"}, None),
    (OnlyAfter(Q, (Link(P, None), Link(P, None)), None), {"p": "110", "q": "001"}, 2),
    # Starts within a window.
    (AtMostTimes(P, 1, 3), {"p": "1001"}, None),
    (AtMostTimes(P, 1, 3), {"p": "101"}, 2),
    (AtMostTimes(P, 1, 3), {"p": "111"}, None),
    (AtMostTimes(P, 1, 2), {"p": "10101"}, None),
    (AtMostTimes(P, 2, 5), {"p": "10101"}, 4),
    (AtMostTimes(P, 2, 5), {"p": "101001"}, None),
    (AtMostTimes(P, 2, 5), {"p": "10010101"}, 7),
    (AtMostTimes(P, 0, 1), {"p": "001"}, 2),
    (AtMostTimes(P, 0, 0), {"p": "001"}, None),
    (AtMostTimes(P, 2, 2), {"p": "10101"}, None),
    # So many ticks from the start.
    (NoSooner(P, 3), {"p": "001"}, 2),
    (NoSooner(P, 3), {"p": "0001"}, None),
    (NoSooner(P, 0), {"p": "1"}, None),
    (Eventually(P, 3), {"p": "0000"}, 3),
    (Eventually(P, 3), {"p": "0001"}, None),
    (Eventually(P, 3), {"p": "1000000"}, None),
    (Eventually(P, 0), {"p": "0"}, 0),
    (Eventually(P, None), {"p": "0000"}, None),
    # Each opening of a scope is a run of its own, in which all is counted anew.
    (While(R, Never(P)), {"r": "0010", "p": "1101"}, None),
    (While(R, Never(P)), {"r": "0010", "p": "0010"}, 2),
    (While(R, NoSooner(P, 2)), {"r": "0111", "p": "0010"}, 2),
    (While(R, NoSooner(P, 2)), {"r": "0111", "p": "0001"}, None),
    (While(R, NoSooner(P, 2)), {"r": "0110110", "p": "0000010"}, 5),
    (While(R, NoSooner(P, 4)), {"r": "01111", "p": "00001"}, 4),
    (While(R, NoSooner(P, 4)), {"r": "011111", "p": "000001"}, None),
    (While(R, NoSooner(P, 1)), {"r": "0110", "p": "0100"}, 1),
    (While(R, NoSooner(P, 1)), {"r": "0110", "p": "0010"}, None),
    (While(R, NoSooner(P, 0)), {"r": "011", "p": "111"}, None),
    (While(R, Eventually(P, 2)), {"r": "01111", "p": "00000"}, 3),
    (While(R, Eventually(P, 2)), {"r": "01111", "p": "00010"}, None),
    (While(R, Eventually(P, 3)), {"r": "011111", "p": "000000"}, 4),
    (While(R, Eventually(P, 3)), {"r": "011111", "p": "000010"}, None),
    (While(R, Eventually(P, 1)), {"r": "0110110", "p": "0100000"}, 5),
    (While(R, Eventually(P, 0)), {"r": "01", "p": "00"}, 1),
    (While(R, Eventually(P, 2)), {"r": "0110", "p": "0000"}, None),
    (While(R, Lasts(P, 2, None)), {"r": "0100", "p": "0111"}, None),
    (While(R, Lasts(P, 2, None)), {"r": "0111", "p": "1100"}, 2),
    (While(R, Lasts(P, None, 2)), {"r": "11011", "p": "11111"}, None),
    (While(R, Lasts(P, None, 2)), {"r": "111", "p": "111"}, 2),
    (While(R, Returns(P, 2)), {"r": "0110110", "p": "0000000"}, None),
    (While(R, Returns(P, 2)), {"r": "0111", "p": "1000"}, 3),
    (While(R, LeadsTo(P, Q, 2)), {"r": "10111", "p": "10000"}, None),
    (While(R, LeadsTo(P, Q, 2)), {"r": "10111", "p": "10100"}, 4),
    (While(R, AtMostTimes(P, 1, 9)), {"r": "11011", "p": "10010"}, None),
    (While(R, AtMostTimes(P, 1, 9)), {"r": "11111", "p": "10010"}, 3),
    (While(R, AtMostTimes(P, 0, 9)), {"r": "01", "p": "11"}, 1),
    (While(R, OnlyAfter(Q, (Link(P, None),), None)), {"r": "11011", "p": "1", "q": "00001"}, 4),
    (While(R, OnlyAfter(Q, (Link(P, None),), 9)), {"r": "11011", "p": "1", "q": "00001"}, 4),
    (While(R, OnlyAfter(Q, (Link(P, None),), 9)), {"r": "11111", "p": "1", "q": "00001"}, None),
    # What waits without a limit is overdue in the first tick outside.
    (While(R, LeadsTo(P, Q, None)), {"r": "0110", "p": "0100", "q": "0001"}, 3),
    (While(R, LeadsTo(P, Q, None)), {"r": "0110", "p": "0100", "q": "0010"}, None),
    (While(R, Eventually(P, None)), {"r": "0110", "p": "1001"}, 3),
    (While(R, Eventually(P, None)), {"r": "0110", "p": "0010"}, None),
    (While(R, Returns(P, None)), {"r": "0110", "p": "0000"}, None),
    (After(R, Eventually(P, None)), {"r": "0100", "p": "0000"}, None),
    (While(S, After(R, Eventually(P, None))), {"s": "1110", "r": "01", "p": "0"}, 3),
    # Where scopes open and shut.
    (After(R, Never(P)), {"r": "010", "p": "101"}, 2),
    (After(R, Never(P)), {"r": "010", "p": "010"}, 1),
    (After(R, Never(P)), {"r": "010", "p": "100"}, None),
    (FromUntil(R, S, Never(P)), {"r": "01", "s": "0001", "p": "00011"}, None),
    (FromUntil(R, S, Never(P)), {"r": "01", "s": "0001", "p": "001"}, 2),
    (FromUntil(R, S, Never(P)), {"r": "01001", "s": "001", "p": "00001"}, 4),
    (FromUntil(R, S, Never(P)), {"r": "01", "s": "01", "p": "01"}, None),
    (FromUntil(R, S, Eventually(P, None)), {"r": "01", "s": "0001", "p": "0"}, 3),
    (FromUntil(R, S, Eventually(P, None)), {"r": "01", "s": "0001", "p": "001"}, None),
    (While(S, After(R, Never(P))), {"s": "110111", "r": "01", "p": "000011"}, None),
    (While(S, After(R, Never(P))), {"s": "110111", "r": "01001", "p": "000001"}, 5),
    (While(S, While(R, Never(P))), {"s": "0011", "r": "0101", "p": "1110"}, None),
    (While(S, While(R, Never(P))), {"s": "0011", "r": "0101", "p": "0001"}, 3),
    (While(Q, FromUntil(R, S, Never(P))), {"q": "1011", "r": "1", "p": "0001"}, None),
]


@pytest.mark.parametrize(("sentence", "texts", "first"), CASES)
def test_a_sentence_is_broken_first_in_this_tick(
    sentence: Sentence, texts: dict[str, str], first: int | None
) -> None:
    assert set(texts) <= set(LETTERS)
    assert Watcher(sentence).first_bad(rows(texts)) == first


def shown(sentence: Sentence, texts: dict[str, str], place: int) -> str:
    """Tick by tick, whether a monitor waits (place 1), is put to the test (2), or is there (3)."""
    watcher, told = Watcher(sentence), ""
    at = watcher.start
    for row in rows(texts):
        at, found = watcher.tick(at, row)
        told += str(int(found[place]))
    return told


@pytest.mark.parametrize(
    ("sentence", "texts", "waits"),
    [
        (Returns(P, None), {"p": "01001"}, "10110"),
        (LeadsTo(P, Q, None), {"p": "01000", "q": "00010"}, "01100"),
        (LeadsTo(P, Q, None), {"p": "01000", "q": "01000"}, "00000"),
        (Eventually(P, None), {"p": "00100"}, "11000"),
        (While(R, Returns(P, None)), {"r": "0110", "p": "1010"}, "0100"),
        (While(R, LeadsTo(P, Q, None)), {"r": "0110", "p": "0100"}, "0110"),
        (After(R, Eventually(P, None)), {"r": "0100", "p": "1001"}, "0110"),
        (Returns(P, 2), {"p": "0000"}, "0000"),
    ],
)
def test_a_sentence_without_a_limit_waits_in_these_ticks(
    sentence: Sentence, texts: dict[str, str], waits: str
) -> None:
    assert shown(sentence, texts, 1) == waits


@pytest.mark.parametrize(
    ("sentence", "texts", "asked"),
    [
        (Lasts(P, 2, None), {"p": "0110"}, "0110"),
        (OnlyWhile(P, Q), {"p": "0101", "q": "0011"}, "0101"),
        (OnlyAfter(Q, (Link(P, None),), None), {"p": "0011", "q": "0101"}, "0101"),
        (LeadsTo(P, Q, None), {"p": "0101", "q": "0011"}, "0101"),
        (AtMostTimes(P, 1, 1), {"p": "0101"}, "0101"),
        (While(R, Lasts(P, 2, None)), {"r": "0110", "p": "0101"}, "0100"),
        (While(R, Never(P)), {"r": "0110", "p": "0101"}, "0110"),
        (After(R, Returns(P, None)), {"r": "0010", "p": "0101"}, "0011"),
    ],
)
def test_a_sentence_is_put_to_the_test_in_these_ticks(
    sentence: Sentence, texts: dict[str, str], asked: str
) -> None:
    assert shown(sentence, texts, 2) == asked


@pytest.mark.parametrize(
    ("sentence", "texts", "goal"),
    [
        (Possible(P, None, whatever=False), {"p": "010101"}, "010101"),
        (Possible(P, 3, whatever=False), {"p": "010101"}, "010100"),
        (Possible(P, 0, whatever=False), {"p": "11"}, "10"),
        (AlwaysPossible(P, 2), {"p": "010101"}, "010101"),
    ],
)
def test_what_is_to_be_reached_is_there_in_these_ticks(
    sentence: Sentence, texts: dict[str, str], goal: str
) -> None:
    assert shown(sentence, texts, 3) == goal


@pytest.mark.parametrize("sentence", {repr(case[0]): case[0] for case in CASES}.values(), ids=repr)
def test_nothing_that_a_monitor_remembers_is_kept_by_the_design(sentence: Sentence) -> None:
    system = Watcher(sentence).system
    assert not any(one.kept for one in system.registers)
    assert not any(one.kept for one in system.clocks)


@pytest.mark.parametrize("sentence", {repr(case[0]): case[0] for case in CASES}.values(), ids=repr)
def test_what_a_monitor_says_hangs_on_the_run_alone(sentence: Sentence) -> None:
    """A clock that draws its span could let off in one drawing what another one finds broken."""
    assert not any(one.ranged for one in Watcher(sentence).system.clocks)
