"""Bypasses, orders and dead ends agree with a plain search over the reference simulator (networkx).

`LATCHWORK_PUZZLES=300` looks at as many random puzzles; the default is a slice of them.
"""

import os
from collections.abc import Iterator, Sequence
from itertools import combinations, product

import networkx as nx
import pytest

from tests.puzzle.chance import puzzle
from verifier.engines.contract import Budget
from verifier.engines.decide import Effort
from verifier.puzzle.bypass import Bypass, bypass
from verifier.puzzle.bypass_elements import Element, elements_of
from verifier.puzzle.goal import Goal
from verifier.puzzle.stuck import Stuck, find_stuck
from verifier.puzzle.stuck_space import Explored, explore
from verifier.system.cone import cone
from verifier.system.expr import Node
from verifier.system.program import RefusedStepError, program
from verifier.system.state import State, only, start_of
from verifier.verdict.answer import Verdict

COUNT = int(os.environ.get("LATCHWORK_PUZZLES", "16"))
FIRST = int(os.environ.get("LATCHWORK_FIRST_SEED", "0"))
MOST = 1_500

GOAL = "goal"
Seen = tuple[bool, ...]


class TooLargeError(Exception):
    """There are more states than such a search is for."""


class Truth:
    """All ticks of a puzzle that count, one by one, each with which nodes are live in it."""

    def __init__(self, goal: Goal, nodes: Sequence[Node]) -> None:
        """Try every choice and every span in every state that can come."""
        system = goal.system
        self.nodes = list(nodes)
        part = cone(system, [goal.node, *nodes])
        self.run = program(cone(system, [goal.node, system.allowed, *nodes]))
        options = [range(len(system.choices[index].options)) for index in part.choices]
        self.rows = [dict(zip(part.choices, row, strict=True)) for row in product(*options)]
        self.width = len(system.choices)
        spans = []
        for clock in system.clocks:
            ranged = [load for load in clock.loads if load.low != load.high]
            low = min((load.low for load in ranged), default=0)
            spans.append(range(low, max((load.high for load in ranged), default=0) + 1))
        self.draws = list(product(*spans))
        self.start = only(part, start_of(system))
        self.edges: set[tuple[State, State, Seen]] = set()
        self._explore()
        self._prune()

    def ticks(self, state: State) -> Iterator[tuple[State, Seen]]:
        for row in self.rows:
            choices = [row.get(index, 0) for index in range(self.width)]
            for draws in self.draws:
                try:
                    registers, clocks, seen = self.run.tick(
                        state.registers, state.clocks, choices, draws
                    )
                except RefusedStepError:
                    continue
                if seen[1]:
                    yield State(registers, clocks), (seen[0], *seen[2:])

    def _explore(self) -> None:
        known, todo = {self.start}, [self.start]
        while todo:
            state = todo.pop()
            if len(known) > MOST:
                raise TooLargeError
            for after, seen in set(self.ticks(state)):
                self.edges.add((state, after, seen))
                if after not in known:
                    known.add(after)
                    todo.append(after)

    def _prune(self) -> None:
        """Leave out what leads to where no run goes on."""
        while True:
            begins = {one for one, _, _ in self.edges}
            kept = {edge for edge in self.edges if edge[1] in begins}
            if kept == self.edges:
                return
            self.edges = kept

    def without(self, index: int) -> int | None:
        """Return the tick of the soonest goal with a node never live; None: there is none."""
        graph = nx.DiGraph()
        graph.add_node(self.start)
        for state, after, seen in self.edges:
            if not seen[1 + index]:
                graph.add_edge(state, after)
                if seen[0]:
                    graph.add_edge(state, GOAL)
        return _distance(graph, self.start)

    def other_way_round(self, earlier: int, later: int) -> bool:
        """Whether there is a run in which no use of the one begins before or with one of the other.

        A search over states with what was used a tick ago and whether the first was ever begun.
        """
        graph = nx.DiGraph()
        first = (self.start, False, False, False)
        graph.add_node(first)
        todo, follow = [first], _by_start(self.edges)
        while todo:
            at = todo.pop()
            state, was, other_was, begun = at
            for after, seen in follow.get(state, ()):
                one, other = seen[1 + earlier], seen[1 + later]
                begun_now = begun or (one and not was)
                if other and not other_was and begun_now:
                    continue
                to = (after, one, other, begun_now)
                if to not in graph:
                    todo.append(to)
                graph.add_edge(at, to)
                if seen[0]:
                    graph.add_edge(at, GOAL)
        return _distance(graph, first) is not None

    def with_only(self, allowed: frozenset[int]) -> bool:
        """Whether the goal can be reached with no other node ever live."""
        graph = nx.DiGraph()
        graph.add_node(self.start)
        for state, after, seen in self.edges:
            if all(index in allowed for index in range(len(self.nodes)) if seen[1 + index]):
                graph.add_edge(state, after)
                if seen[0]:
                    graph.add_edge(state, GOAL)
        return _distance(graph, self.start) is not None

    def stuck(self) -> tuple[set[State], set[State]]:
        """Return all states that runs come to, and those of them without a way to the goal."""
        graph = nx.DiGraph()
        graph.add_node(self.start)
        for state, after, seen in self.edges:
            graph.add_edge(state, after)
            if seen[0]:
                graph.add_edge(state, GOAL)
        states = {self.start, *nx.descendants(graph, self.start)} - {GOAL}
        can = nx.ancestors(graph, GOAL) if GOAL in graph else set()
        return states, states - can

    def soonest(self, stuck: set[State]) -> int:
        """Return the tick at which some run is stuck for the first time."""
        graph = nx.DiGraph()
        graph.add_node(self.start)
        graph.add_edges_from((state, after) for state, after, _ in self.edges)
        ticks: dict[State, int] = nx.single_source_shortest_path_length(graph, self.start)
        return min(ticks[state] for state in stuck)


def _by_start(edges: set[tuple[State, State, Seen]]) -> dict[State, list[tuple[State, Seen]]]:
    found: dict[State, list[tuple[State, Seen]]] = {}
    for state, after, seen in edges:
        found.setdefault(state, []).append((after, seen))
    return found


def _distance(graph: "nx.DiGraph", start: object) -> int | None:
    if GOAL not in graph:
        return None
    if not nx.has_path(graph, start, GOAL):
        return None
    return len(nx.shortest_path(graph, start, GOAL)) - 2


def truth_of(goal: Goal, nodes: Sequence[Node]) -> Truth:
    try:
        truth = Truth(goal, nodes)
    except TooLargeError:
        pytest.skip("more states than the reference is for")
    if not any(state == truth.start for state, _, _ in truth.edges):
        pytest.skip("no run keeps the assumptions")
    return truth


# --- bypasses ------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(FIRST, FIRST + COUNT))
def test_bypasses_are_those_there_are(seed: int) -> None:
    goal = puzzle(seed)
    elements = elements_of(goal)
    truth = truth_of(goal, [one.used for one in elements])
    found = bypass(goal, Effort())
    if not found.ways:
        assert found.quickest.outcome.verdict is Verdict.FAILS
        assert not truth.with_only(frozenset(range(len(elements))))
        return
    place = {row.element.name: number for number, row in enumerate(found.rows)}
    assert list(place) == [one.name for one in elements]
    for number, row in enumerate(found.rows):
        soonest = truth.without(number)
        assert row.needed is (soonest is None)
        if row.way is not None:
            assert soonest is not None
            assert soonest <= found.ways[row.way].route.tick
    compare_orders(truth, found, place)
    compare_sets(truth, found, place)


def compare_orders(truth: Truth, found: Bypass, place: dict[str, int]) -> None:
    for pair in found.orders.pairs if found.orders else ():
        free = truth.other_way_round(place[pair.earlier.name], place[pair.later.name])
        assert pair.fixed is not free


def compare_sets(truth: Truth, found: Bypass, place: dict[str, int]) -> None:
    free = [row.element for row in found.rows if row.way is not None]
    assert (found.sets is None) is (not free)
    if found.sets is None or not found.sets.complete or len(free) > 10:
        return
    needed = frozenset(place[row.element.name] for row in found.rows if row.needed)
    assert {frozenset(place[one.name] for one in row) for row in found.sets.found} == {
        *smallest(truth, needed, [place[one.name] for one in free])
    }


def smallest(truth: Truth, needed: frozenset[int], free: list[int]) -> list[frozenset[int]]:
    """Return all smallest sets that are enough beside what is needed, by trying all by size."""
    found: list[frozenset[int]] = []
    for size in range(len(free) + 1):
        for some in map(frozenset, combinations(free, size)):
            if not any(one <= some for one in found) and truth.with_only(needed | some):
                found.append(some)
    return found


def test_elements_are_compared_by_name() -> None:
    """The names by which the tests above find elements are those of one element each."""
    for seed in range(FIRST, FIRST + COUNT):
        elements: tuple[Element, ...] = elements_of(puzzle(seed))
        assert len({one.name for one in elements}) == len(elements)


# --- dead ends -----------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(FIRST, FIRST + 2 * COUNT))
def test_dead_ends_are_those_there_are(seed: int) -> None:
    goal = puzzle(seed)
    truth = truth_of(goal, [])
    states, stuck = truth.stuck()
    found = find_stuck(goal, Effort())
    assert (found.states, found.stuck) == (len(states), len(stuck))
    assert found.outcome.verdict is (Verdict.FAILS if stuck else Verdict.HOLDS)
    if found.trap is None:
        assert not stuck or truth.start in stuck
        return
    compare_trap(truth, found, stuck)
    compare_mistakes(truth, goal, found)


def compare_trap(truth: Truth, found: Stuck, stuck: set[State]) -> None:
    assert found.trap is not None
    assert found.trap.lost == found.trap.trace.length - 1
    if not found.trap.afterwards:
        fresh = Truth.__new__(Truth)
        fresh.start = truth.start
        fresh.edges = {edge for edge in truth.edges if not edge[2][0]}
        reached = {one for one, _, _ in fresh.edges} | {one for _, one, _ in fresh.edges}
        everything = all(seen[0] for state, _, seen in truth.edges if state == truth.start)
        wanted = truth.soonest(stuck) if everything else fresh.soonest(_met(fresh, stuck & reached))
        assert found.trap.trace.length == wanted
    else:
        assert found.trap.trace.length == truth.soonest(stuck)


def _met(truth: Truth, states: set[State]) -> set[State]:
    graph = nx.DiGraph()
    graph.add_node(truth.start)
    graph.add_edges_from((state, after) for state, after, _ in truth.edges)
    return states & {truth.start, *nx.descendants(graph, truth.start)}


def compare_mistakes(truth: Truth, goal: Goal, found: Stuck) -> None:
    """Each way to lose the goal ends in a stuck state and comes from one that is not."""
    explored = explore(goal, Budget.of(10))
    assert isinstance(explored, Explored)
    _, stuck = truth.stuck()
    assert found.mistakes
    part = cone(goal.system, [goal.node])
    run = program(cone(goal.system, [goal.node, goal.system.allowed]))
    for one in found.mistakes:
        at = start_of(goal.system)
        path = [at]
        for step in one.trace.steps:
            for _ in range(step.ticks):
                at = run.step(at, step.choices, step.draws)[0]
                path.append(at)
        assert only(part, path[-1]) in stuck
        assert only(part, path[-2]) not in stuck
