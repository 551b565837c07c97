"""The best way through a puzzle by breadth-first search over the reference simulator (networkx)."""

from collections.abc import Iterator
from itertools import product

import networkx as nx

from verifier.design.model import Walker
from verifier.puzzle.goal import Goal
from verifier.system.cone import cone
from verifier.system.expr import Op
from verifier.system.fold import leaves
from verifier.system.program import Program, RefusedStepError, program
from verifier.system.state import State, only, start_of

Choices = tuple[int, ...]
At = tuple[State, Choices]  # a state, and what was held in the tick before
BIG = 1_000_000
GOAL = "goal"


class TooLargeError(Exception):
    """There are more states than such a search is for."""


class Oracle:
    """All ticks of a puzzle; a run counts only if it can go on for ever."""

    def __init__(self, goal: Goal, most: int = 3_000) -> None:
        """Try every choice and every span in every state that can come."""
        self.system = goal.system
        self.part = cone(goal.system, [goal.node])
        roots = (goal.node, goal.system.allowed)
        whole = cone(goal.system, roots)
        self.run: Program = program(whole)
        self.every = [self._row(row) for row in product(*self._options())]
        self.draws = list(product(*self._spans()))
        self.start: At = (only(self.part, start_of(self.system)), (0,) * len(self.system.choices))
        self.graph = nx.MultiDiGraph()
        self._explore(most)
        live = self._live()
        self.graph.remove_nodes_from([one for one in self.graph if one not in live])
        self.lives = self.start in self.graph

    def _options(self) -> list[range]:
        return [range(len(self.system.choices[index].options)) for index in self.part.choices]

    def _spans(self) -> Iterator[range]:
        for clock in self.system.clocks:
            ranged = [load for load in clock.loads if load.low != load.high]
            low = min((load.low for load in ranged), default=0)
            yield range(low, max((load.high for load in ranged), default=0) + 1)

    def _row(self, options: tuple[int, ...]) -> Choices:
        row = [0] * len(self.system.choices)
        for index, option in zip(self.part.choices, options, strict=True):
            row[index] = option
        return tuple(row)

    def ticks(self, state: State, row: Choices) -> set[tuple[State, bool]]:
        """Return what a tick may lead to, with the goal in it or without; nothing: not allowed."""
        found = set()
        for draws in self.draws:
            try:
                registers, clocks, (goal, allowed) = self.run.tick(
                    state.registers, state.clocks, row, draws
                )
            except RefusedStepError:
                continue
            if allowed:
                found.add((State(registers, clocks), goal))
        return found

    def moves(self, held: Choices, row: Choices) -> int:
        """Return how many presses and walkers' steps a tick has."""
        choices = self.system.choices
        return sum(
            now not in (0, was) if choices[index].is_press else bool(now)
            for index, (was, now) in enumerate(zip(held, row, strict=True))
        )

    def _explore(self, most: int) -> None:
        edge = [self.start]
        self.graph.add_node(self.start)
        while edge:
            at = edge.pop()
            if len(self.graph) > most:
                raise TooLargeError
            for row in self.every:
                for after, goal in self.ticks(at[0], row):
                    held = self._held(row)
                    to = (after, held)
                    if to not in self.graph:
                        edge.append(to)
                    self.graph.add_edge(at, to, row=row, goal=goal, moves=self.moves(at[1], row))

    def _held(self, row: Choices) -> Choices:
        presses = (one.is_press for one in self.system.choices)
        return tuple(one if press else 0 for one, press in zip(row, presses, strict=True))

    def _live(self) -> set[At]:
        """Return the states from which a run goes on for ever."""
        live = set(self.graph)
        while True:
            kept = {one for one in live if any(to in live for to in self.graph.successors(one))}
            if kept == live:
                return live
            live = kept

    def best(self, *, by_moves: bool) -> tuple[int, int] | None:
        """Return ticks and moves of the best way, None where there is none."""
        if not self.lives:
            return None
        plain = nx.DiGraph()
        plain.add_node(self.start)
        for at, to, data in self.graph.edges(data=True):
            moves = data["moves"]
            steps = [(to, moves * BIG + 1 if by_moves else BIG + moves)]
            if data["goal"]:
                steps.append((GOAL, moves * BIG if by_moves else moves))
            for where, weight in steps:
                old = plain.get_edge_data(at, where)
                if old is None or weight < old["weight"]:
                    plain.add_edge(at, where, weight=weight)
        try:
            cost = nx.dijkstra_path_length(plain, self.start, GOAL)
        except (nx.NetworkXNoPath, nx.NodeNotFound):
            return None
        first, second = divmod(cost, BIG)
        return (second, first) if by_moves else (first, second)

    # --- different ways --------------------------------------------------------------------------

    def words(self, ticks: int | None, moves: int) -> set[tuple[object, ...]]:
        """Return the different ways with so many moves (and ticks, where they are told)."""
        found: set[tuple[object, ...]] = set()
        seen: set[tuple[At, int, tuple[object, ...]]] = set()
        edge: list[tuple[At, int, tuple[object, ...]]] = [(self.start, 0, ())]
        while edge:
            at, tick, word = edge.pop()
            if (at, tick if ticks is not None else 0, word) in seen:
                continue
            seen.add((at, tick if ticks is not None else 0, word))
            for _, to, data in self.graph.out_edges(at, data=True):
                if not self._matters(at, data["row"]):
                    continue
                more = (*word, *self._letters(at, to, data["row"]))
                if len(more) != len(word) + data["moves"] or len(more) > moves:
                    continue
                if (
                    data["goal"]
                    and len(more) == moves
                    and tick == (tick if ticks is None else ticks)
                ):
                    found.add(more)
                if ticks is None or tick < ticks:
                    edge.append((to, tick + 1, more))
        return found

    def _letters(self, at: At, to: At, row: Choices) -> list[object]:
        letters: list[object] = []
        walkers = {walker.exits.path: walker for walker in self.system.design.walkers}
        for index, choice in enumerate(self.system.choices):
            if choice.name in walkers:
                before, after = (self._room(walkers[choice.name], one[0]) for one in (at, to))
                if row[index] and before[0] != after[0]:
                    letters.append((index, after[1]))
            elif row[index] not in (0, at[1][index]):
                letters.append((index, row[index]))
        return letters

    def _room(self, walker: Walker, state: State) -> tuple[int, int]:
        nodes = self.system.shown[walker.place.path].nodes[1:]
        live = [state.registers[node.data[0]] for node in nodes]
        place = live.index(True) + 1 if True in live else 0
        return place, walker.ends[place]

    def _matters(self, at: At, row: Choices) -> bool:
        """Say whether each press of a tick changes what comes of it, but for who holds what."""
        effect = self._effect(at, row)
        for index, choice in enumerate(self.system.choices):
            if choice.is_press and row[index] not in (0, at[1][index]):
                without = (*row[:index], at[1][index], *row[index + 1 :])
                if self._effect(at, without) == effect:
                    return False
        return True

    def _effect(self, at: At, row: Choices) -> object:
        draws = tuple(span[0] for span in self._spans())
        fitted = [draws, *self.draws]
        for one in fitted:
            try:
                registers, clocks, (goal, _) = self.run.tick(
                    at[0].registers, at[0].clocks, row, one
                )
            except RefusedStepError:
                continue
            kept = [
                live
                for live, register in zip(registers, self.system.registers, strict=True)
                if any(leaves([register.next])[op] for op in (Op.REGISTER, Op.ABOVE))
            ]
            return tuple(kept), clocks, goal
        raise AssertionError("no draw fits")
