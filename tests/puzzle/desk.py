"""A text with one design and a goal in words in, the goal out."""

from pathlib import Path

from verifier.design import files
from verifier.design.resolve import designs_in
from verifier.puzzle.goal import Goal, goal_of
from verifier.source.diagnostic import Collector
from verifier.source.text import Source


def told(text: str, words: str, walkers: int = 1) -> tuple[Goal | None, Collector]:
    """Return a goal of a design, and what was told of both."""
    collector = Collector()
    unit = files.of_source(Source("puzzle.latch", text), Path("puzzle.latch"), collector)
    assert unit is not None, collector.found
    (block,) = designs_in(unit)
    return goal_of(block, unit, words, collector, walkers=walkers), collector


def asked(text: str, words: str, walkers: int = 1) -> Goal:
    """Return a goal of a design; nothing is wrong with either."""
    goal, collector = told(text, words, walkers)
    assert goal is not None, collector.found
    return goal
