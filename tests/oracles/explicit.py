"""Claims answered by a graph of all states of a design, with networkx.

States are what a design keeps, in its own numbers, and what edges, presses and assumptions
remember; the graph comes from the design printed tick by tick and from sentences watched by the
table of their meanings. Only reading the text is shared with the verifier.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product

import networkx as nx

from tests.oracles.printed import Printed, Values, printed
from tests.oracles.truth import Truth
from tests.oracles.watching import Memory, watched
from verifier.design.model import After as AfterScope
from verifier.design.model import (
    AlwaysPossible,
    BuiltIn,
    Choice,
    Claim,
    Design,
    Eventually,
    Flag,
    FromAnywhere,
    FromUntil,
    LeadsTo,
    Number,
    Possible,
    Returns,
    Sentence,
    Timer,
    Walker,
    While,
)

MOST_TICKS = 30_000
"""No more ticks than this are tried for one graph."""


class TooManyError(Exception):
    """There are too many states, or too many ticks from them."""


@dataclass(frozen=True, slots=True)
class At:
    """A state of the design: kept values and timers, and what is remembered of a tick ago."""

    kept: Values
    timers: Values
    seen: Values
    presses: Values
    assumed: tuple[Memory, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """A tick: its choices, what conditions hold in it, whether a count overflows, what follows."""

    choices: Values
    row: Values
    overflow: bool
    after: At


Steps = Mapping[At, Sequence[Step]]


@dataclass(slots=True)
class Explicit:
    """The graph of a design; from `anywhere` where that is asked, else from its start.

    `longest` is the most that each timer can be left with: it hangs on which loads are known never
    to get their turn, and that is not looked into a second time.
    """

    design: Design
    longest: Mapping[Timer, int]
    page: Printed = field(init=False)
    graphs: dict[bool, Steps] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Print the design with all that is assumed and asked."""
        asked = [one.sentence for one in self.design.assumptions]
        asked += [one.sentence for one in self.design.claims]
        self.page = printed(self.design, asked)

    def steps(self, *, anywhere: bool) -> Steps:
        """Return all states that runs which count come to, and all ticks of such runs.

        Raises:
            TooManyError: there are more than `MOST_TICKS`.
        """
        if anywhere not in self.graphs:
            begin = list(self.starts()) if anywhere else [self.start()]
            self.graphs[anywhere] = _endless(self._all_steps(begin))
        return self.graphs[anywhere]

    def start(self) -> At:
        """Return the state at tick 0."""
        kept = tuple(one.start for one in self.design.kept)
        return self._fresh(kept, tuple(one.start for one in self.design.timers))

    def starts(self) -> Iterator[At]:
        """Yield every state that the parts may be left in.

        Raises:
            TooManyError: there are more than `MOST_TICKS`.
        """
        values = [_values(one.net.shape) for one in self.design.kept]
        shown = [range(self.longest[timer] + 1) for timer in self.design.timers]
        size = 1
        for one in (*values, *shown):
            size *= len(one)
        if size > MOST_TICKS:
            raise TooManyError
        for kept, timers in product(product(*values), product(*shown)):
            if all(self._fits(one, kept, timers) for one in self.design.walkers):
                yield self._fresh(kept, timers)

    def _fresh(self, kept: Values, timers: Values) -> At:
        nothing = (0,) * self.page.edges
        rest = (0,) * len(self.design.free) if self.design.one_press else ()
        return At(kept, timers, nothing, rest, (None,) * len(self.design.assumptions))

    def _fits(self, walker: Walker, kept: Values, timers: Values) -> bool:
        """Whether a walker's timer shows what it can show where the walker is."""
        nets = [one.net for one in self.design.kept]
        place = kept[nets.index(walker.place)]
        left = timers[self.design.timers.index(walker.timer)]
        rooms = len(self.design.rooms)
        if place < rooms:
            return left == 0
        # One who sets out into a passage has its timer loaded under the same condition.
        low, high = self._takes(walker, place)
        return min(low, 1) <= left <= high

    def _takes(self, walker: Walker, place: int) -> tuple[int, int]:
        (kept,) = (one for one in self.design.kept if one.net is walker.place)
        conditions = [one.condition for one in kept.cases if self._leads(one.value, place)]
        spans = [
            (load.low, load.high) for load in walker.timer.loads if load.condition in conditions
        ]
        return min(low for low, _ in spans), max(high for _, high in spans)

    @staticmethod
    def _leads(value: object, place: int) -> bool:
        return getattr(value, "option", None) == place

    def _all_steps(self, begin: Sequence[At]) -> Steps:
        found: dict[At, list[Step]] = {at: [] for at in begin}
        edge, tried = list(found), 0
        every = list(product(*(range(one.count) for one in self.design.free)))
        for at in edge:  # grows while it is walked
            found[at] = list(self._ticks(at, every))
            tried += max(len(every), len(found[at]))
            if tried > MOST_TICKS:
                raise TooManyError
            for step in found[at]:
                if step.after not in found:
                    found[step.after] = []
                    edge.append(step.after)
        return found

    def _ticks(self, at: At, every: Sequence[Values]) -> Iterator[Step]:
        for choices in every:
            if self.design.one_press and self._presses(at.presses, choices) > 1:
                continue
            after = self.page.tick(at.kept, at.timers, at.seen, choices)
            kept, spans, seen, row, overflow = after
            assumed = []
            for assumption, memory in zip(self.design.assumptions, at.assumed, strict=True):
                one = watched(assumption.sentence, memory, _holds(self.page, row))
                if one.broken:
                    break
                assumed.append(one.memory)
            else:
                before = choices if self.design.one_press else ()
                for timers in product(*spans):
                    then = At(kept, timers, seen, before, tuple(assumed))
                    yield Step(choices, row, overflow, then)

    def _presses(self, before: Values, now: Values) -> int:
        """How many choices are not at rest and were something else a tick ago."""
        return sum(
            free.is_press and new not in (0, old)
            for free, old, new in zip(self.design.free, before, now, strict=True)
        )


def _values(shape: Flag | Number | Choice) -> range:
    match shape:
        case Flag():
            return range(2)
        case Number(low, high):
            return range(low, high + 1)
        case Choice(options):
            return range(len(options))


def _endless(steps: Steps) -> Steps:
    """Leave out the states from which no run goes on for ever, and the ticks that lead there."""
    graph = nx.DiGraph((at, step.after) for at, some in steps.items() for step in some)
    live = _circling(graph)
    live |= set().union(*(nx.ancestors(graph, one) for one in _some_of_each(graph, live)))
    return {
        at: [step for step in some if step.after in live]
        for at, some in steps.items()
        if at in live
    }


def _circling(graph: "nx.DiGraph[object]") -> set[object]:
    """Return the nodes that lie on some circle."""
    found: set[object] = set()
    for group in nx.strongly_connected_components(graph):
        if len(group) > 1 or any(graph.has_edge(one, one) for one in group):
            found |= group
    return found


def _some_of_each(graph: "nx.DiGraph[object]", live: set[object]) -> list[object]:
    """Return one node of each group on circles: all of a group have the same ancestors."""
    groups = nx.strongly_connected_components(graph)
    return [next(iter(group)) for group in groups if group <= live]


# --- answers --------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Product:
    """States with what a watcher remembers: all ticks of the claim's question."""

    graph: "nx.DiGraph[object]"
    level: dict[object, int]
    hits: set[object]
    owing: list[tuple[object, object]]
    tested: bool = False


def truth(explicit: Explicit, claim: Claim) -> Truth:
    """Return whether a claim holds, by all states.

    Raises:
        TooManyError: there are too many.
    """
    sentence, anywhere = claim.sentence, False
    if isinstance(sentence, FromAnywhere):
        sentence, anywhere = sentence.inner, True
    steps = explicit.steps(anywhere=anywhere)
    begin = explicit.starts() if anywhere else [explicit.start()]
    begin = [one for one in begin if one in steps]
    if not begin:
        return Truth(holds=True, counts=False)
    built_in = claim.built_in is BuiltIn.COUNTS
    found = _walked(explicit, claim.sentence, steps, begin, counts=built_in)
    first = min((found.level[one] for one in found.hits), default=None)
    match sentence:
        case Possible(limit=limit, whatever=whatever):
            met = first is not None and (limit is None or first <= limit)
            if whatever and met:
                sure = _sure(explicit, sentence, steps, begin)
                return Truth(holds=sure)
            return Truth(holds=met, tick=first if met else None)
        case AlwaysPossible(limit=limit):
            return Truth(holds=_open(found, limit), tested=found.tested)
        case _:
            waits = _waits(sentence) and bool(_circling(nx.DiGraph(found.owing)))
            return Truth(first is None and not waits, first, tested=found.tested)


def _waits(sentence: Sentence) -> bool:
    match sentence:
        case While(_, inner) | AfterScope(_, inner) | FromUntil(_, _, inner):
            return _waits(inner)
        case Returns(limit=None) | LeadsTo(limit=None) | Eventually(limit=None):
            return True
        case _:
            return False


def _walked(
    explicit: Explicit, sentence: Sentence, steps: Steps, begin: Sequence[At], *, counts: bool
) -> _Product:
    """Follow the watcher of a sentence through all states."""
    inner = sentence.inner if isinstance(sentence, FromAnywhere) else sentence
    asked = inner.what if isinstance(inner, Possible | AlwaysPossible) else None
    level: dict[object, int] = {(at, None): 0 for at in begin}
    found = _Product(nx.DiGraph(), level, set(), [])
    edge: list[tuple[At, Memory]] = [(at, None) for at in begin]
    page = explicit.page
    for node in edge:  # grows while it is walked
        at, memory = node
        for step in steps[at]:
            holds = _holds(page, step.row)
            seen = watched(inner, memory, holds)
            hit = step.overflow if counts else seen.broken if asked is None else holds(asked)
            after = (step.after, seen.memory)
            found.graph.add_edge(node, after)
            if hit:
                found.hits.add(node)
            found.tested |= seen.asks
            if seen.owes:
                found.owing.append((node, after))
            if after not in level:
                level[after] = level[node] + 1
                edge.append(after)
        if len(level) > MOST_TICKS:
            raise TooManyError
    return found


def _holds(page: Printed, row: Values) -> Callable[..., bool]:
    return lambda asked: page.holds(asked, row)


def _open(found: _Product, limit: int | None) -> bool:
    """Whether from each state a hit can come, within a limit."""
    backward = found.graph.reverse(copy=False)
    if not found.hits:
        return False
    away = nx.multi_source_dijkstra_path_length(backward, found.hits, weight=None)
    return all(one in away and (limit is None or away[one] <= limit) for one in found.level)


def _sure(explicit: Explicit, sentence: Possible, steps: Steps, begin: Sequence[At]) -> bool:
    """Whether choices made with a look at what was drawn so far reach it whatever is drawn.

    No less is needed for a plan that is fixed before anything is drawn, and spans that foil all
    plans foil these too.
    """
    won: set[At] = set()
    rank = 0
    while sentence.limit is None or rank <= sentence.limit:
        fresh = {
            at
            for at, some in steps.items()
            if at not in won and _forced(explicit, sentence, some, won)
        }
        if not fresh:
            break
        won |= fresh
        rank += 1
    return any(one in won for one in begin)


def _forced(explicit: Explicit, sentence: Possible, some: Sequence[Step], won: set[At]) -> bool:
    by_choice: dict[Values, list[Step]] = {}
    for step in some:
        by_choice.setdefault(step.choices, []).append(step)
    return any(
        all(explicit.page.holds(sentence.what, one.row) or one.after in won for one in ticks)
        for ticks in by_choice.values()
    )
