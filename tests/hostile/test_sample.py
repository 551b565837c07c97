"""A slice of the tries of `python -m tests.hostile`, always the same ones.

LATCHWORK_HOSTILE=100000 tries as many; how many were tried stands at the end of the tests' output.
"""

import os
from collections.abc import Callable

import pytest

from tests.hostile.__main__ import plan
from tests.hostile.campaign import tried
from tests.hostile.guard import megabytes, steers, told_well
from tests.hostile.tries import WHOLE, Sort
from verifier.source.diagnostic import Diagnostic
from verifier.source.text import Source, Span

TRIES = int(os.environ.get("LATCHWORK_HOSTILE", "1200"))
SEED = 20_261_129

PLAN = plan(TRIES, None)


@pytest.mark.parametrize("name", PLAN)
def test_no_input_makes_it_fall(name: str, record_property: Callable[[str, object], None]) -> None:
    sort, tries = PLAN[name]
    found = tried(name, sort, tries=tries, seed=SEED)
    assert not found.finds
    record_property("hostile inputs", tries)


def test_no_input_makes_a_command_fall(record_property: Callable[[str, object], None]) -> None:
    tries = max(10, TRIES // 100)
    assert not tried("commands", WHOLE, tries=tries, seed=SEED, seconds=60.0).finds
    record_property("hostile inputs", tries)


def test_a_fault_would_be_found() -> None:
    """The judge of the tries is no rubber stamp: each fault that it looks for is one to it."""

    def falls(_text: str) -> str:
        raise KeyError("x")

    def goes_on(_text: str) -> str:
        while True:
            pass

    def eats(_text: str) -> str:
        return str(len(bytearray(megabytes() + 600 << 20)))[:1]

    for take in (falls, goes_on, eats):
        sort = Sort(1, lambda dice: str(dice.random()), take)
        assert len(tried("faults", sort, tries=1, seed=0, seconds=0.2).finds) == 1
    text = Source("x", "abc")
    for wrong in (
        Diagnostic("no-such-code", "x", Span(text, 0, 1), mend="y"),
        Diagnostic("too-long", "x", None, mend="y"),
        Diagnostic("too-long", "x", Span(text, 0, 9), mend="y"),
        Diagnostic("too-long", "x", Span(text, 0, 1)),
    ):
        assert told_well(wrong)
    assert not told_well(Diagnostic("too-long", "x", Span(text, 0, 1), mend="y"))
    assert [steers(f"a{one}b") for one in "\x1b\x9b\r\t\u202e\u200b"] == list(
        "\x1b\x9b\r\t\u202e\u200b"
    )
    assert not steers("a\nÄ中█ é")
