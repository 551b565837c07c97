"""Routes agree with breadth-first search over the reference simulator, in time and in moves.

`LATCHWORK_PUZZLES=300` looks at as many random puzzles; the default is a slice of them.
"""

import os

import pytest

from tests.puzzle.chance import puzzle
from tests.puzzle.oracle import Oracle, TooLargeError
from verifier.engines.contract import Budget
from verifier.puzzle.moves import deeds
from verifier.puzzle.space import Space
from verifier.puzzle.space_paths import Nothing, Order, Path, best
from verifier.puzzle.ways_all import Ways, ways
from verifier.verdict.replay import replay

COUNT = int(os.environ.get("LATCHWORK_PUZZLES", "40"))
FIRST = int(os.environ.get("LATCHWORK_FIRST_SEED", "0"))
MOST_WORDS = 200


@pytest.mark.parametrize("seed", range(FIRST, FIRST + COUNT))
def test_the_best_way_is_the_best(seed: int) -> None:
    goal = puzzle(seed)
    try:
        truth = Oracle(goal)
    except TooLargeError:
        pytest.skip("more states than the reference is for")
    for order in Order:
        space = Space(goal.system, goal.node)
        found = best(space, order, Budget.of(10))
        wanted = truth.best(by_moves=order is Order.MOVES)
        if wanted is None:
            assert isinstance(found, Nothing)
            continue
        assert isinstance(found, Path)
        assert (found.ticks, found.moves) == wanted
        trace = space.trace_of(found.edges)
        assert trace.length == found.ticks + 1
        assert replay(goal.system, trace, goal.node, anywhere=False).ruling.sound
        assert len(deeds(goal.system, goal.node, trace).moves) == found.moves
        assert space.explore(Budget.of(10)) is None
        compare(truth, order, found, ways(space, order, found, MOST_WORDS, Budget.of(10)))


def compare(truth: Oracle, order: Order, shortest: Path, found: Ways | None) -> None:
    """Fail where the number of ways is not that of the words found one by one."""
    ticks = shortest.ticks if order is Order.TIME else None
    words = truth.words(ticks, shortest.moves)
    assert (found.count if found else 0) == len(words)
    if found is not None:
        assert len(found.paths) == min(found.count, MOST_WORDS)
        assert all(one.moves == shortest.moves for one in found.paths)
