"""Sentences, each beside rows of ticks worked out by hand from docs/semantics.md."""

import pytest

from tests.oracles.afresh.letters import Node, UnsureError
from tests.oracles.afresh.watching import watcher

P, Q, R, S = range(4)


def broken(sentence: Node, *rows: str) -> int | None:
    """Return the first tick that breaks a sentence; a row tells where its condition holds."""
    one = watcher(sentence)
    memory = one.first
    for tick, row in enumerate(zip(*rows, strict=True)):
        seen = one.step(memory, [each == "x" for each in row])
        if seen.broken:
            return tick
        memory = seen.memory
    return None


@pytest.mark.parametrize(
    ("sentence", "rows", "tick"),
    [
        (("never", P), ["..x"], 2),
        (("only while", P, Q), ["x.x", "x.."], 2),
        (("lasts", P, 2, None), [".xx."], None),
        (("lasts", P, 2, None), ["xx.x."], 4),
        (("lasts", P, 2, None), ["...x"], None),
        (("lasts", P, None, 2), ["xx.xxx"], 5),
        (("lasts", P, None, 0), [".x"], 1),
        (("returns", P, 2), ["..x.."], None),
        (("returns", P, 2), ["x..."], 3),
        (("returns", P, 2), ["..."], 2),
        (("leads to", P, Q, 2), ["x...", "..x."], None),
        (("leads to", P, Q, 2), ["x...", "...x"], 2),
        (("leads to", P, Q, 0), ["x.x", "x.."], 2),
        (("leads to", P, Q, 2), ["xx...", ".x..."], None),
        (("only after", P, [(Q, None)], None), ["..x", ".x."], None),
        (("only after", P, [(Q, None)], None), ["x.", ".x"], 0),
        (("only after", P, [(Q, None)], None), ["x", "x"], None),
        (("only after", P, [(Q, None), (R, None)], None), ["..x", ".x.", ".x."], 2),
        (("only after", P, [(Q, None), (R, 1)], None), ["..x", "x..", ".x."], None),
        (("only after", P, [(Q, None), (R, 1)], None), ["...x", "x...", "..x."], 3),
        (("only after", P, [(Q, None)], 1), [".x", "x."], None),
        (("only after", P, [(Q, None)], 1), ["..x", "x.."], 2),
        (("at most", P, 1, 2), ["x.x."], None),
        (("at most", P, 1, 3), ["x.x."], 2),
        (("at most", P, 1, 3), ["xxxx"], None),
        (("at most", P, 0, 0), ["x.x."], None),
        (("no sooner", P, 2), ["..x"], None),
        (("no sooner", P, 2), [".x."], 1),
        (("eventually", P, 2), ["..x."], None),
        (("eventually", P, 2), ["...x"], 2),
        (("while", Q, ("lasts", P, 2, None)), ["x..x.", "x.xx."], None),
        (("while", Q, ("lasts", P, 2, None)), ["x..x.", "xxxxx"], 1),
        (("while", Q, ("eventually", P, None)), ["...", "xx."], 2),
        (("while", Q, ("leads to", P, R, None)), ["x..", "xx.", ".x."], None),
        (("while", Q, ("leads to", P, R, None)), ["xx.", "xx.", "x.."], 2),
        (("after", Q, ("never", P)), ["x.x", ".x."], 2),
        (("from", Q, R, ("never", P)), ["xx.xx", ".x...", "..x.."], 1),
        (("from", Q, R, ("never", P)), ["x.xxx", ".x..x", "..xx."], 4),
        (("from", Q, R, ("never", P)), ["xx", "xx", "xx"], None),
    ],
)
def test_where_a_sentence_is_broken(sentence: Node, rows: list[str], tick: int | None) -> None:
    assert broken(sentence, *rows) == tick


def test_what_waits_and_what_asks() -> None:
    one = watcher(("leads to", P, Q, None))
    owed = one.step(one.first, (True, False))
    assert (owed.waits, owed.asks, one.shut(owed.memory)) == (True, True, True)
    later = one.step(owed.memory, (False, False))
    assert (later.waits, later.asks) == (True, False)
    assert not one.step(later.memory, (False, True)).waits
    assert watcher(("returns", P, None)).step(0, (False,)).waits
    assert not watcher(("while", P, ("never", Q))).step(None, (False, True)).asks


def test_a_sentence_that_is_not_known_is_told() -> None:
    for sentence in (("seldom", P), ("while", P, ("possible", Q, None, False))):
        with pytest.raises(UnsureError):
            watcher(sentence)
