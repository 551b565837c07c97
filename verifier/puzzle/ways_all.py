"""All the different shortest ways: how many there are, which they are, and which are much the same.

A way is a word: its moves in order, those of one tick in the order of the design. Runs that differ
only in how long somebody waits or holds something are one way, so words are counted over sets of
states, each set closed under waiting (the subset construction of M. O. Rabin, D. Scott 1959): every
word then leads to one set, and the count is exact.

A press that makes no difference in its tick belongs later, so runs with such presses are left out.

By time, the shortest ways are those that take the least time, with the fewest moves among those; by
moves they are those of the fewest moves, however long they take.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from heapq import heappop, heappush
from itertools import count, pairwise

from verifier.engines.contract import Budget
from verifier.puzzle.moves import Move, presses_in
from verifier.puzzle.space import EDGE, STATE, Edge, Space
from verifier.puzzle.space_paths import Cost, Order, Path, plus
from verifier.simulate.feet import Feet, feet_of
from verifier.simulate.onward import Way
from verifier.system.expr import Op
from verifier.system.fold import leaves

Word = tuple[Move, ...]
At = tuple[int, int]  # a state, and how many moves were made

_MET = -1  # in the place of a state: the target is met


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a way stands: at a state (or _MET), with moves of the last edge still to be told."""

    state: int
    left: Word = ()


Spots = frozenset[Spot]


@dataclass(frozen=True, slots=True)
class Ways:
    """The shortest ways: `count` in all, some of them as paths; `classes` of them modulo order.

    Two ways are of one class if one becomes the other by swapping moves of different people that
    follow each other, through ways that are all shortest. None: not counted, for there are many.
    """

    count: int
    paths: tuple[Path, ...]
    classes: int | None

    @property
    def complete(self) -> bool:
        """Whether all ways are listed."""
        return len(self.paths) == self.count


MOST_SORTED = 5_000
"""More ways than this are not sorted into classes."""


def ways(space: Space, order: Order, shortest: Path, most: int, budget: Budget) -> Ways | None:
    """Return the ways that are as short as the shortest, at most so many of them listed.

    The space is explored already. None where the budget did not last, or a shortest way needs a
    press that makes no difference in its tick.
    """
    graph = _Graph(space, order, shortest)
    graph.measure(budget)
    words = _Words(graph, budget)
    total = words.count(words.start)
    if not total:
        return None
    paths = tuple(graph.path(word) for word in words.some(words.start, most))
    classes = None
    if total <= MOST_SORTED:
        classes = _classes(words.some(words.start, MOST_SORTED), graph.person)
    return Ways(total, paths, classes)


class _Graph:
    """The edges that lie on a shortest way."""

    def __init__(self, space: Space, order: Order, shortest: Path) -> None:
        self.space = space
        self.order = order
        self.goal = self._cost(shortest.ticks, shortest.moves)
        self.feet = feet_of(space.system)
        read = [leaves([space.system.registers[one].next]) for one in space.cone.registers]
        self.told = [bool(some[Op.REGISTER] or some[Op.ABOVE]) for some in read]
        self.reached: dict[int, Cost] = {}
        self.on: dict[int, list[Edge]] = {}

    def _cost(self, ticks: int, moves: int) -> Cost:
        return (ticks, moves) if self.order is Order.TIME else (moves, 0)

    def measure(self, budget: Budget) -> None:
        """Find which edges lie on shortest ways, from both sides."""
        self.reached = self._distances()
        left = self._left()
        budget.use((STATE + EDGE * len(self.space.rows)) * len(self.reached) * 2)
        for state, cost in self.reached.items():
            if state in left and plus(cost, left[state]) == self.goal:
                self.on[state] = [
                    edge
                    for edge in self.space.edges(state)
                    if self._fits(cost, edge, left) and self._matters(state, edge)
                ]

    def _fits(self, cost: Cost, edge: Edge, left: dict[int, Cost]) -> bool:
        if edge.met and plus(cost, self._cost(0, edge.moves)) == self.goal:
            return self.space.lives(edge.to) is Way.FOUND
        after = plus(cost, self._cost(edge.ticks, edge.moves))
        return edge.to in left and plus(after, left[edge.to]) == self.goal

    def _matters(self, state: int, edge: Edge) -> bool:
        """Say whether each press of an edge makes a difference at once, but for being held."""
        if not edge.moves:
            return True
        space = self.space
        row, held = space.rows[edge.row], space.held(state)
        now = self._effect(state, row)
        for place, index in enumerate(space.cone.choices):
            pressed = row[place] not in (0, held[place]) and index not in self.feet
            without = (*row[:place], held[place], *row[place + 1 :])
            if pressed and self._effect(state, without) == now:
                return False
        return True

    def _effect(self, state: int, row: tuple[int, ...]) -> object:
        """Return what a tick brings about, without what tells only of who holds what."""
        at, machine = self.space.position(state), self.space.machine
        look = machine.look(*at, row)
        draws = machine.fitted(look, (0,) * len(machine.clocks))
        registers, clocks = machine.after(at, look, draws, 1)
        kept = zip(registers, self.told, strict=True)
        return tuple(live for live, told in kept if told), clocks, look.seen[0]

    def ends(self, state: int, edge: Edge) -> bool:
        """Say whether an edge on a shortest way meets the target as its last."""
        cost = plus(self.reached[state], self._cost(0, edge.moves))
        return edge.met and cost == self.goal

    def _distances(self) -> dict[int, Cost]:
        """Return what it costs to come to each state, as far as the shortest way goes."""
        found: dict[int, Cost] = {}
        heap: list[tuple[Cost, int]] = [((0, 0), 0)]
        while heap:
            cost, state = heappop(heap)
            if state in found or cost > self.goal:
                continue
            found[state] = cost
            for edge in self.space.edges(state):
                if edge.to not in found:
                    heappush(heap, (plus(cost, self._cost(edge.ticks, edge.moves)), edge.to))
        return found

    def _left(self) -> dict[int, Cost]:
        """Return what it costs from each state to meet the target."""
        heap: list[tuple[Cost, int]] = []
        before: dict[int, list[tuple[int, Edge]]] = {}
        for state in self.reached:
            for edge in self.space.edges(state):
                if edge.met and self.space.lives(edge.to) is Way.FOUND:
                    heappush(heap, (self._cost(0, edge.moves), state))
                before.setdefault(edge.to, []).append((state, edge))
        found: dict[int, Cost] = {}
        while heap:
            cost, state = heappop(heap)
            if state in found or cost > self.goal:
                continue
            found[state] = cost
            for earlier, edge in before.get(state, []):
                if earlier not in found:
                    heappush(heap, (plus(cost, self._cost(edge.ticks, edge.moves)), earlier))
        return found

    # --- moves ------------------------------------------------------------------------------------

    def word(self, state: int, edge: Edge) -> Word:
        """Return the moves of an edge, in the order of the design."""
        if not edge.moves:
            return ()
        space = self.space
        row = space.spread(space.rows[edge.row])
        moves = list(presses_in(space.system, space.spread(space.held(state)), row))
        before, after = space.state(state).registers, space.state(edge.to).registers
        moves += [
            Move(choice, self._room(self.feet[choice], before, after))
            for choice in space.cone.choices
            if choice in self.feet and row[choice]
        ]
        return tuple(sorted(moves))

    @staticmethod
    def _room(feet: Feet, before: tuple[bool, ...], after: tuple[bool, ...]) -> int:
        return feet.room(after) if feet.sets_out(before, after) else feet.room(before)

    def person(self, move: Move) -> int:
        """Return who makes a move: a walker by its choice, or -1 for whoever presses.

        Where no more than one walks, that one also does the pressing.
        """
        return move.choice if move.choice in self.feet and len(self.feet) > 1 else -1

    def path(self, word: Word) -> Path:
        """Return the run of a word that takes the least time."""
        start = (0, 0)
        heap: list[tuple[int, int, At, At, Edge | None]] = [(0, 0, start, start, None)]
        came: dict[At, tuple[At, Edge | None]] = {}
        serial = count(1)
        while heap:
            ticks, _, at, before, last = heappop(heap)
            if at[0] == _MET:
                edges = [last] if last is not None else []
                while before != start:
                    before, edge = came[before]
                    edges += [edge] if edge is not None else []
                return Path(tuple(edges[::-1]), ticks, len(word))
            if at in came:
                continue
            came[at] = before, last
            for edge, to in self._along(word, at):
                later = ticks if to[0] == _MET else ticks + edge.ticks
                heappush(heap, (later, next(serial), to, at, edge))
        raise AssertionError("a word that was counted has no run")

    def _along(self, word: Word, at: At) -> Iterator[tuple[Edge, At]]:
        state, told = at
        for edge in self.on.get(state, ()):
            moves = self.word(state, edge)
            if word[told : told + len(moves)] == moves:
                ends = self.ends(state, edge)
                yield edge, (_MET if ends else edge.to, told + len(moves))


@dataclass(slots=True, eq=False)
class _Words:
    """The words of the shortest ways, over sets of spots."""

    graph: _Graph
    budget: Budget
    known: dict[Spots, int] = field(default_factory=dict)
    following: dict[Spots, dict[Move, Spots]] = field(default_factory=dict)

    @property
    def start(self) -> Spots:
        """The set before the first move."""
        return self._closed({Spot(0)})

    def count(self, spots: Spots) -> int | None:
        """Return how many words lead from a set to the target; None where effort ran out.

        All words are equally long, so a set that has met the target has no moves left.
        """
        stack = [spots]
        while stack:
            now = stack[-1]
            if now in self.known:
                stack.pop()
                continue
            if self.budget.spent():
                return None
            after = self._after(now).values()
            unknown = [one for one in after if one not in self.known]
            if unknown:
                stack += unknown
            else:
                self.known[now] = 1 if self._met(now) else sum(self.known[one] for one in after)
        return self.known[spots]

    def some(self, spots: Spots, most: int) -> list[Word]:
        """Return words in a fixed order, at most so many; they were counted before."""
        found: list[Word] = []
        stack: list[tuple[Spots, Word]] = [(spots, ())]
        while stack and len(found) < most:
            now, word = stack.pop()
            if self._met(now):
                found.append(word)
                continue
            steps = sorted(self._after(now).items(), reverse=True)
            stack += [(after, (*word, move)) for move, after in steps if self.known[after]]
        return found

    def _met(self, spots: Spots) -> bool:
        return any(spot.state == _MET and not spot.left for spot in spots)

    def _after(self, spots: Spots) -> dict[Move, Spots]:
        """Return the sets that one more move leads to."""
        if spots not in self.following:
            reached: dict[Move, set[Spot]] = {}
            for spot in spots:
                for move, after in self._moves(spot):
                    reached.setdefault(move, set()).add(after)
            self.budget.use(STATE * (1 + len(spots)))
            self.following[spots] = {move: self._closed(some) for move, some in reached.items()}
        return self.following[spots]

    def _moves(self, spot: Spot) -> Iterator[tuple[Move, Spot]]:
        if spot.left:
            yield spot.left[0], Spot(spot.state, spot.left[1:])
            return
        for edge in self.graph.on.get(spot.state, ()):
            moves = self.graph.word(spot.state, edge)
            if moves:
                yield moves[0], Spot(self._end(spot.state, edge), moves[1:])

    def _end(self, state: int, edge: Edge) -> int:
        return _MET if self.graph.ends(state, edge) else edge.to

    def _closed(self, spots: set[Spot]) -> Spots:
        """Return the spots with all that waiting leads to from there."""
        edge, found = list(spots), set(spots)
        while edge:
            spot = edge.pop()
            if spot.left:
                continue
            for way in self.graph.on.get(spot.state, ()):
                if not way.moves:
                    after = Spot(self._end(spot.state, way))
                    if after not in found:
                        found.add(after)
                        edge.append(after)
        return frozenset(found)


def _classes(words: list[Word], person: Callable[[Move], int]) -> int:
    """Return into how many classes words fall by swapping neighbours of different people."""
    left, count = set(words), 0
    while left:
        count += 1
        edge = [left.pop()]
        while edge:
            for swapped in _swapped(edge.pop(), person):
                if swapped in left:
                    left.remove(swapped)
                    edge.append(swapped)
    return count


def _swapped(word: Word, person: Callable[[Move], int]) -> Iterator[Word]:
    for at, (one, other) in enumerate(pairwise(word)):
        if person(one) != person(other):
            yield (*word[:at], other, one, *word[at + 2 :])
