"""Claims answered by a search of all states, with sentences watched beside them."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from itertools import product
from pathlib import Path
from typing import Any, NamedTuple

from tests.oracles.afresh.letters import Node, UnsureError
from tests.oracles.afresh.running import Choices, Row, Running, State
from tests.oracles.afresh.watching import Seen, Watcher, watcher
from tests.oracles.truth import Truth

MOST_TICKS = 30_000
"""No more ticks than this are tried for one search."""


class At(NamedTuple):
    """A state: what is kept, choices a tick ago if presses matter, what assumptions remember."""

    state: State
    before: Choices | None
    assumed: tuple[Any, ...]


class Step(NamedTuple):
    """A tick from a state to the next; `broken` of the claims that every design carries."""

    choices: Choices
    row: Row
    broken: Mapping[str, bool]
    after: At


Steps = Mapping[At, Sequence[Step]]


class Graph(NamedTuple):
    """States that runs which count begin with, their ticks, and the rows of all ticks tried."""

    begin: Sequence[At]
    steps: Steps
    rows: AbstractSet[Row]


@dataclass(slots=True)
class Answering:
    """A design, by its text alone, and what is true of its claims.

    Raises:
        UnsureError: something in the text is not known.
    """

    text: str
    folder: Path
    design: Running = field(init=False)
    _watchers: list[Watcher] = field(init=False)
    _graphs: dict[tuple[State, ...], Graph] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Read the text."""
        self.design = Running(self.text, self.folder)
        self._watchers = [watcher(one) for one in self.design.assumed]

    def any_run_counts(self) -> bool:
        """Whether any run keeps what is assumed.

        Raises:
            UnsureError: there is too much to try.
        """
        return bool(self._from_start().begin)

    def names(self) -> list[str]:
        """Return the names of all claims, those that every design carries last."""
        carried = {"fed": self.design.uses_units, "counts": self.design.counts}
        return [*self.design.claimed, *(name for name, asked in carried.items() if asked)]

    def truth(self, name: str) -> Truth:
        """Return what is true of a claim, by its name.

        Which loads are known never to get their turn is a matter of how well one looks: what may
        be left from anywhere is tried both ways, and only what comes out alike is told.

        Raises:
            UnsureError: there is too much to try, or it came out both ways.
        """
        sentence = self.design.claimed.get(name)
        if sentence is None:
            return self._carried(name)
        if sentence[0] != "anywhere":
            return self._of(sentence, self._from_start())
        longest = self.design.longest()
        graph = self._from_anywhere(longest)
        found = self._of(sentence[1], graph)
        while (shorter := self.design.longest(graph.rows)) != longest:
            longest, graph = shorter, self._from_anywhere(shorter)
            if self._of(sentence[1], graph) != found:
                raise UnsureError("it hangs on which loads are known never to get their turn")
        return found

    def _carried(self, name: str) -> Truth:
        """Return what is true of a claim that every design carries."""
        if name not in self.names():
            raise UnsureError(f"claim {name}")
        first = _Search(self._from_start(), _of_carried(name)).first("broken")
        return Truth(first is None, first, tested=True)

    def _of(self, sentence: Node, graph: Graph) -> Truth:
        if not graph.begin:
            return Truth(holds=True, counts=False)
        told = _told(sentence, _Search(graph, _of_claim(watcher(sentence))))
        match sentence:
            case ("possible", what, limit, True) if told.holds:
                if self.design.assumed:
                    raise UnsureError("whatever the spans, where something is assumed")
                return Truth(holds=_forced(graph, what, limit))
            case _:
                return told

    # --- states -----------------------------------------------------------------------------------

    def _fresh(self, state: State) -> At:
        before = self.design.rest if self.design.one_press else None
        return At(state, before, tuple(one.first for one in self._watchers))

    def _from_start(self) -> Graph:
        return self._graph((self.design.start(),))

    def _from_anywhere(self, longest: Mapping[int, int]) -> Graph:
        return self._graph(tuple(self.design.starts(MOST_TICKS, longest)))

    def _graph(self, states: tuple[State, ...]) -> Graph:
        """Return the states from which some run goes on for ever, and the ticks of such runs."""
        if states not in self._graphs:
            begin = [self._fresh(one) for one in states]
            tried = self._tried(begin)
            dead = _ends({at: [one.after for one in some] for at, some in tried.items()})
            live = {
                at: [one for one in some if one.after not in dead]
                for at, some in tried.items()
                if at not in dead
            }
            rows = {one.row for some in tried.values() for one in some}
            self._graphs[states] = Graph([one for one in begin if one in live], live, rows)
        return self._graphs[states]

    def _tried(self, begin: Sequence[At]) -> Steps:
        """Return all states that are come to, and all ticks from them that break nothing."""
        found: dict[At, Sequence[Step]] = dict.fromkeys(begin, ())
        edge, tried = list(found), 0
        for at in edge:  # grows while it is walked
            found[at] = list(self._ticks(at))
            tried += max(len(found[at]), len(self.design.choices))
            if tried > MOST_TICKS:
                raise UnsureError("too many states to try")
            for step in found[at]:
                if step.after not in found:
                    found[step.after] = ()
                    edge.append(step.after)
        return found

    def _ticks(self, at: At) -> Iterator[Step]:
        design = self.design
        for choices in design.choices:
            if at.before is not None and design.presses(at.before, choices) > 1:
                continue
            ticked = design.tick_of(at.state, choices)
            seen = [
                one.step(memory, ticked.row)
                for one, memory in zip(self._watchers, at.assumed, strict=True)
            ]
            if any(one.broken for one in seen):
                continue
            before = None if at.before is None else choices
            assumed = tuple(one.memory for one in seen)
            broken = {"counts": ticked.overflow, "fed": ticked.starving}
            for state in product(*ticked.after):
                yield Step(choices, ticked.row, broken, At(state, before, assumed))


def _ends(ahead: Mapping[Any, Sequence[Any]]) -> set[Any]:
    """Return the nodes from which each way comes to an end."""
    left = {one: len(some) for one, some in ahead.items()}
    back = defaultdict[Any, list[Any]](list)
    for one, some in ahead.items():
        for other in some:
            back[other].append(one)
    found = [one for one, number in left.items() if not number]
    for one in found:  # grows while it is walked
        for other in back[one]:
            left[other] -= 1
            if not left[other]:
                found.append(other)
    return set(found)


# --- claims ---------------------------------------------------------------------------------------


class _Node(NamedTuple):
    """A state, and what the watcher of a claim remembers."""

    at: At
    memory: Any


class _Asked(NamedTuple):
    """What is watched: what is remembered at first, what a tick does."""

    first: Any
    step: Any


def _of_claim(seen: Watcher) -> _Asked:
    return _Asked(seen.first, lambda memory, step: seen.step(memory, step.row))


def _of_carried(name: str) -> _Asked:
    return _Asked(0, lambda _, step: Seen(0, step.broken[name]))


class _Search:
    """All that runs come to with a claim watched: each node with its ticks, by levels."""

    def __init__(self, graph: Graph, asked: _Asked) -> None:
        self.level = {_Node(at, asked.first): 0 for at in graph.begin}
        self.ticks: dict[_Node, list[tuple[Seen, _Node]]] = {}
        tried = 0
        edge = list(self.level)
        for node in edge:  # grows while it is walked
            seen = [(asked.step(node.memory, one), one.after) for one in graph.steps[node.at]]
            self.ticks[node] = [(one, _Node(after, one.memory)) for one, after in seen]
            tried += len(seen)
            if tried > 4 * MOST_TICKS:
                raise UnsureError("too many states to try")
            for _, after in self.ticks[node]:
                if after not in self.level:
                    self.level[after] = self.level[node] + 1
                    edge.append(after)

    def having(self, what: str) -> set[_Node]:
        """Return the nodes with a tick in which something is so."""
        return {
            node for node, some in self.ticks.items() if any(getattr(one, what) for one, _ in some)
        }

    def first(self, what: str) -> int | None:
        """Return the first tick in which something is so."""
        return min((self.level[one] for one in self.having(what)), default=None)

    def waits(self) -> bool:
        """Whether some run waits from some tick on for ever."""
        waiting = {
            node: [after for one, after in some if one.waits] for node, some in self.ticks.items()
        }
        return len(_ends(waiting)) < len(waiting)

    def farthest(self) -> int | None:
        """Return how far at most it is to where it is met; None if it never is from somewhere."""
        back = defaultdict[_Node, list[_Node]](list)
        for node, some in self.ticks.items():
            for _, after in some:
                back[after].append(node)
        away = dict.fromkeys(self.having("met"), 0)
        edge = list(away)
        for node in edge:  # grows while it is walked
            for other in back[node]:
                if other not in away:
                    away[other] = away[node] + 1
                    edge.append(other)
        return max(away.values()) if len(away) == len(self.ticks) else None


def _told(sentence: Node, found: _Search) -> Truth:
    match sentence:
        case ("possible", *_):
            met = found.first("met")
            return Truth(met is not None, met)
        case ("always possible", _, limit):
            worst = found.farthest()
            holds = worst is not None and (limit is None or worst <= limit)
            return Truth(holds, tested=bool(found.having("asks")))
        case _:
            broken = found.first("broken")
            holds = broken is None and not found.waits()
            return Truth(holds, broken, tested=bool(found.having("asks")))


def _forced(graph: Graph, what: int, limit: int | None) -> bool:
    """Whether choices made with a look at what was drawn so far reach it whatever is drawn.

    No less is needed for a plan that is fixed before anything is drawn, and spans that foil all
    plans foil these too.
    """
    won: set[At] = set()
    ticks = 0
    while limit is None or ticks <= limit:
        fresh = {at for at, some in graph.steps.items() if at not in won and _wins(some, what, won)}
        if not fresh:
            break
        won |= fresh
        ticks += 1
    return any(one in won for one in graph.begin)


def _wins(some: Sequence[Step], what: int, won: set[At]) -> bool:
    """Whether one of the choices comes, whatever is drawn, to where it is met or as good as met."""
    drawn = defaultdict[Choices, list[Step]](list)
    for step in some:
        drawn[step.choices].append(step)
    return any(all(step.row[what] or step.after in won for step in each) for each in drawn.values())
