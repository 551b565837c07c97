"""Every state one by one, tick by tick, as long as there are few of them.

Breadth-first search (E. F. Moore 1959) over the cone; it settles puzzles and small circuits of
every form, assumptions included, and the first meeting it finds is the earliest there is.
"""

from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import product

from verifier.engines.contract import Asked, Budget, Task
from verifier.simulate.machine import (
    MOST_DRAWS,
    Machine,
    Position,
    TooManyDrawsError,
    machine,
)
from verifier.simulate.presses import Stretch, position_in, state_of, trace_of
from verifier.system.starts import Starts
from verifier.system.state import State, only
from verifier.verdict.evidence import Circles, Evidence, Explored, Reaches, Stopped, Trapped, Why
from verifier.verdict.trace import Lasso, Trace

MOST_CHOICES = 2048
"""More ways to choose in one tick are left to other engines."""

START = 20e-6
"""Measured: nominal seconds for a state in which runs begin."""


@dataclass(frozen=True, slots=True)
class Move:
    """One way of a tick: to which state, by which choices and draws, with the target or without."""

    to: int
    choices: tuple[int, ...]
    draws: tuple[int, ...]
    target: bool


@dataclass(slots=True, eq=False)
class Graph:
    """The states met so far by number, the moves from each, and the move each was first met by.

    `begins` are the numbers of those in which runs begin; `tried` counts the ways of a tick that
    were tried.
    """

    machine: Machine
    known: dict[Position, int] = field(default_factory=dict)
    places: list[Position] = field(default_factory=list)
    moves: list[list[Move]] = field(default_factory=list)
    first: list[tuple[int, Move] | None] = field(default_factory=list)
    live: list[bool] = field(default_factory=list)
    begins: list[int] = field(default_factory=list)
    tried: int = 0

    def number(self, at: Position) -> int:
        """Return the number of a state, a new one if it was not met before."""
        found = self.known.get(at)
        if found is None:
            found = self.known[at] = len(self.places)
            self.places.append(at)
            self.first.append(None)
        return found

    def way_to(self, state: int, last: Move | None = None) -> "Way":
        """Return the shortest way to a state, with one more move behind it."""
        back = [] if last is None else [Stretch(1, last.choices, last.draws)]
        while (step := self.first[state]) is not None:
            state, move = step
            back.append(Stretch(1, move.choices, move.draws))
        return Way(self.places[state], back[::-1])

    def counted(self, state: int) -> list[Move]:
        """Return the moves from a state after which a run can go on for ever."""
        return [move for move in self.moves[state] if self.live[move.to]]

    def begun(self) -> list[int]:
        """Return the states in which runs begin that can go on for ever."""
        return [number for number in self.begins if self.live[number]]


@dataclass(frozen=True, slots=True)
class Way:
    """Moves one after another, and the state in which they begin."""

    begin: Position
    moves: list[Stretch]

    def trace(self, task: Task) -> Trace:
        """Return it as a run of the whole system."""
        return trace_of(task.cone, self.moves, self.begin if task.question.anywhere else None)


@dataclass(frozen=True, slots=True)
class Explicit:
    """Explores up to `most` states."""

    most: int = 200_000
    name: str = "every state"
    description: str = "tries every state, where there are few"

    def run(self, task: Task, budget: Budget) -> Evidence | Stopped:
        """Explore the cone, then look at the graph for what is asked."""
        follower = machine(task.cone, (task.target, task.cone.system.allowed))
        ways = 1
        for count in follower.options:
            ways *= count
        if ways > MOST_CHOICES:
            return Stopped(Why.NOT_SUITED, "too many things can be chosen at once")
        graph = Graph(follower)
        most = min(self.most, max(1, int(budget.left() / START)))
        begins = Starts.of(task.cone, anywhere=task.question.anywhere).all(most)
        budget.use((most if begins is None else len(begins)) * START)
        if begins is None:
            return Stopped(Why.SIZE, f"it can begin in more than {most} states")
        graph.begins = [graph.number(position_in(task.cone, state)) for state in begins]
        free = task.cone.system.allowed is task.cone.system.pool.yes
        meets = task.asked in (Asked.BAD, Asked.GOAL, Asked.TRIGGER)
        try:
            met = self._explore(graph, budget, stop=meets and free)
        except TooManyDrawsError as many:
            return Stopped(Why.NOT_SUITED, str(many))
        if met is not None:
            state, move = met
            return Reaches(graph.way_to(state, move).trace(task), earliest=True)
        if len(graph.moves) < len(graph.places):
            return Stopped(Why.SIZE, f"{len(graph.places)} states and more")
        dead = _dead(graph)
        graph.live = [number not in dead for number in range(len(graph.places))]
        if not graph.begun():
            return Stopped(Why.NOTHING, "no run keeps the assumptions for ever")
        return _SEARCHES[task.asked](graph, task, _Lists(graph, task, dead))

    def _explore(self, graph: Graph, budget: Budget, *, stop: bool) -> tuple[int, Move] | None:
        """Fill the graph; return the first move with the target, where that ends the matter."""
        choices = list(product(*(range(count) for count in graph.machine.options)))
        cost = graph.machine.effort
        while len(graph.moves) < len(graph.places):
            if len(graph.places) > self.most or budget.spent():
                return None
            state = len(graph.moves)
            before = graph.tried
            moves = _moves(graph, state, choices)
            budget.use(cost * (len(choices) + graph.tried - before))
            graph.moves.append(moves)
            for move in moves:
                if stop and move.target:
                    return state, move
        return None


def _moves(graph: Graph, state: int, choices: Sequence[tuple[int, ...]]) -> list[Move]:
    """Return the moves from a state that differ in what they lead to, rest first."""
    follower, at = graph.machine, graph.places[state]
    found: dict[tuple[Position, bool], Move] = {}
    for chosen in choices:
        look = follower.look(*at, chosen)
        target, allowed = look.seen
        if not allowed:
            continue
        for draws in follower.draws(look, MOST_DRAWS // len(choices)):
            graph.tried += 1
            after = follower.after(at, look, draws, 1)
            if (after, target) not in found:
                known = len(graph.places)
                number = graph.number(after)
                move = found[after, target] = Move(number, chosen, draws, target)
                if number == known:
                    graph.first[number] = (state, move)
    return list(found.values())


def _dead(graph: Graph) -> dict[int, int]:
    """Return the states from which no run goes on for ever, each with a rank, by peeling."""
    before: list[set[int]] = [set() for _ in graph.places]
    left = []
    for state, moves in enumerate(graph.moves):
        targets = {move.to for move in moves}
        left.append(len(targets))
        for to in targets:
            before[to].add(state)
    dead: dict[int, int] = {}
    queue = deque(state for state, count in enumerate(left) if count == 0)
    while queue:
        state = queue.popleft()
        dead[state] = 1 + max((dead[move.to] for move in graph.moves[state]), default=-1)
        for earlier in before[state]:
            left[earlier] -= 1
            if left[earlier] == 0:
                queue.append(earlier)
    return dead


@dataclass(frozen=True, slots=True)
class _Lists:
    """Makes the lists of states that are handed in as evidence."""

    graph: Graph
    task: Task
    dead: dict[int, int]

    def state(self, number: int) -> State:
        """Return a state with nothing outside the cone."""
        return only(self.task.cone, state_of(self.task.cone, self.graph.places[number]))

    def all(self, rank: Callable[[int], int]) -> Explored:
        """Return all states but the dead, ranked."""
        live = (number for number in range(len(self.graph.places)) if number not in self.dead)
        states = {self.state(number): rank(number) for number in live}
        return self.some(states)

    def some(self, states: dict[State, int]) -> Explored:
        """Return a list with the dead beside it."""
        dead = {self.state(number): rank for number, rank in self.dead.items()}
        return Explored(states, dead)


def _meeting(graph: Graph, task: Task, lists: _Lists) -> Evidence | Stopped:
    """Find the earliest move with the target that counts, in order of first meeting."""
    order = deque(graph.begun())
    way: dict[int, tuple[int, Move] | None] = dict.fromkeys(order)
    while order:
        state = order.popleft()
        for move in graph.counted(state):
            if move.target:
                graph.first = [way.get(number) for number in range(len(graph.places))]
                return Reaches(graph.way_to(state, move).trace(task), earliest=True)
            if move.to not in way:
                way[move.to] = (state, move)
                order.append(move.to)
    return lists.all(lambda _number: 0)


def _distances(graph: Graph) -> dict[int, int]:
    """Return for each state from which the target can come the least ticks before it."""
    before: list[list[int]] = [[] for _ in graph.places]
    ranks: dict[int, int] = {}
    for state in range(len(graph.places)):
        if not graph.live[state]:
            continue
        for move in graph.counted(state):
            before[move.to].append(state)
            if move.target:
                ranks[state] = 0
    queue = deque(ranks)
    while queue:
        state = queue.popleft()
        for earlier in before[state]:
            if earlier not in ranks:
                ranks[earlier] = ranks[state] + 1
                queue.append(earlier)
    return ranks


def _opening(graph: Graph, task: Task, lists: _Lists) -> Evidence | Stopped:
    """Find a reachable state from which the target cannot come, or not in time; or rank all."""
    ranks = _distances(graph)
    order = deque(graph.begun())
    way: dict[int, tuple[int, Move] | None] = dict.fromkeys(order)
    while order:
        state = order.popleft()
        if state not in ranks:
            graph.first = [way.get(number) for number in range(len(graph.places))]
            trace = graph.way_to(state).trace(task)
            return Trapped(trace, lists.some(_inside(graph, state, lists)))
        for move in graph.counted(state):
            if move.to not in way:
                way[move.to] = (state, move)
                order.append(move.to)
    ranked = lists.some({lists.state(number): ranks[number] for number in way})
    farthest = max(way, key=ranks.__getitem__)  # the soonest of them
    limit = task.question.limit
    if limit is None or ranks[farthest] <= limit:
        return ranked
    graph.first = [way.get(number) for number in range(len(graph.places))]
    trace = graph.way_to(farthest).trace(task)
    return Trapped(trace, ranked, beyond=ranks[farthest] - 1)


def _inside(graph: Graph, start: int, lists: _Lists) -> dict[State, int]:
    seen, stack = {start}, [start]
    while stack:
        for move in graph.counted(stack.pop()):
            if move.to not in seen:
                seen.add(move.to)
                stack.append(move.to)
    return {lists.state(number): 0 for number in seen}


def _waiting(graph: Graph, task: Task, lists: _Lists) -> Evidence | Stopped:
    """Find a loop of moves that all wait, or rank the states along them."""
    ranks: dict[int, int] = {}
    for root in range(len(graph.places)):
        if not graph.live[root] or root in ranks:
            continue
        path: list[int] = [root]
        moves = {root: [move for move in graph.counted(root) if move.target]}
        taken: dict[int, Move] = {}
        while path:
            state = path[-1]
            if not moves[state]:
                after = [ranks[m.to] for m in graph.counted(state) if m.target]
                ranks[state] = 1 + max(after, default=-1)
                path.pop()
                continue
            move = moves[state].pop()
            taken[state] = move
            if move.to in ranks:
                continue
            if move.to in moves:
                loop = path[path.index(move.to) :]
                way = graph.way_to(loop[0])
                round_ = [Stretch(1, taken[s].choices, taken[s].draws) for s in loop]
                whole = Way(way.begin, [*way.moves, *round_])
                return Circles(Lasso(whole.trace(task), back_to=len(way.moves)))
            path.append(move.to)
            moves[move.to] = [one for one in graph.counted(move.to) if one.target]
    return lists.all(lambda number: ranks[number])


_SEARCHES: dict[Asked, Callable[[Graph, Task, _Lists], Evidence | Stopped]] = {
    Asked.BAD: _meeting,
    Asked.GOAL: _meeting,
    Asked.TRIGGER: _meeting,
    Asked.OPEN: _opening,
    Asked.WAITING: _waiting,
}
