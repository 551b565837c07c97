"""The way through, the quickest or that of fewest moves, and how sure it is that none is better.

First every state is tried. Where there are too many the engines of `check` look for a way, as they
would for a claim that it is possible. That none is quicker, and that there is no way at all, is
called proved only once the judge accepts it; that none has fewer moves rests on the search.
"""

from dataclasses import dataclass, replace

from verifier.design.model import NoSooner, Possible
from verifier.engines.contract import Asked, Budget, Task
from verifier.engines.crew import Cores
from verifier.engines.decide import Decider, Effort
from verifier.engines.sooner import none_by
from verifier.puzzle.goal import Goal
from verifier.puzzle.moves import Deeds, deeds
from verifier.puzzle.space import Space, TooManyWaysError
from verifier.puzzle.space_paths import Nothing, Order, Path, best
from verifier.puzzle.ways_all import ways
from verifier.simulate.variations import shortened
from verifier.system.cone import cone
from verifier.system.lower import lower
from verifier.verdict.answer import Outcome, Reach, Verdict
from verifier.verdict.evidence import Stopped, Why
from verifier.verdict.replay import replay
from verifier.verdict.ruling import SIMULATOR
from verifier.verdict.trace import Trace

MOST_QUICKER = 6
"""So many times a quicker run is asked for, where not every state could be tried."""

MOST_TRIED = 200_000
"""So many ways of a tick at most does the judge try to see that no way is quicker."""

PROVING = 0.25
"""Part of the effort for a proof that no way is quicker, where the judge cannot try all states."""

EXPLORING = 4
"""So many times the effort may be spent on finding every state, to count ways."""


@dataclass(frozen=True, slots=True)
class Route:
    """A run that meets the goal first at its last tick, and what is done in it."""

    trace: Trace
    deeds: Deeds

    @property
    def tick(self) -> int:
        """The tick of the goal."""
        return self.trace.length - 1

    @property
    def moves(self) -> int:
        """How many moves it takes."""
        return len(self.deeds.moves)


@dataclass(frozen=True, slots=True)
class Others:
    """The different shortest ways: how many, how many modulo order, those that are listed.

    `count` is None where they were not counted, and `why` says why not.
    """

    count: int | None
    classes: int | None
    listed: tuple[Route, ...]
    why: str = ""


@dataclass(frozen=True, slots=True)
class Routed:
    """What is known of the ways to a goal.

    `outcome` is the answer whether there is one; its run is that of `route`. `proved`: the judge
    accepts that none is better in the order asked for, or that there is none. `states` counts
    those that were tried one by one; where there are some, the search met no better way.
    """

    goal: Goal
    order: Order
    outcome: Outcome
    route: Route | None
    proved: bool
    states: int
    others: Others | None = None

    @property
    def best(self) -> bool:
        """Whether the way is the best: that is proved, or every state was tried."""
        return self.proved or self.states > 0

    @property
    def none(self) -> bool:
        """Whether there is no way, and that was proved."""
        return self.outcome.verdict is Verdict.FAILS


def find_route(
    goal: Goal,
    order: Order,
    effort: Effort,
    *,
    listed: int = 0,
    cores: Cores | None = None,
    space: Space | None = None,
) -> Routed:
    """Return the best way to a goal, or that there is none.

    `listed`: how many of all to list; `space`: that of the goal, as far as it is known already.
    """
    try:
        space = Space(goal.system, goal.node) if space is None else space
        found = best(space, order, Budget.of(effort.seconds, memory=effort.memory))
    except TooManyWaysError as many:
        return _asked(goal, order, effort, cores, Stopped(Why.NOT_SUITED, str(many)))
    if not isinstance(found, Path):
        return _asked(goal, order, effort, cores, found)
    states = len(space)
    route = _told(goal, space.trace_of(found.edges), found.moves)
    proved = order is Order.TIME and _none_quicker(goal, route, effort)
    outcome = Outcome(
        Verdict.HOLDS,
        Reach.FOREVER,
        trace=route.trace,
        engine="every state",
        by=SIMULATOR,
        earliest=proved,
    )
    others = _others(goal, space, order, found, (effort, listed)) if listed else None
    return Routed(goal, order, outcome, route, proved, states, others)


def _none_quicker(goal: Goal, route: Route, effort: Effort) -> bool:
    """Return whether the judge accepts that no way is quicker."""
    part = cone(goal.system, [goal.node])
    task = Task(part, goal.question, Asked.GOAL, goal.node, None, effort.seed)
    budget = Budget.of(PROVING * effort.seconds, memory=effort.memory)
    return none_by(task, route.tick - 1, budget, effort.judge, MOST_TRIED).sound


def _asked(
    goal: Goal,
    order: Order,
    effort: Effort,
    cores: Cores | None,
    explored: Nothing | Stopped,
) -> Routed:
    """Return what the engines and the judge say, where trying states was not enough."""
    outcome = Decider(goal.system, effort, cores, worst=False).decide(goal.question)
    states = explored.states if isinstance(explored, Nothing) else 0
    if outcome.trace is None:
        return Routed(goal, order, outcome, None, outcome.verdict is Verdict.FAILS, states)
    if states:
        raise AssertionError("a way was found where every state was tried without one")
    outcome = shortened(goal.system, goal.question, outcome)
    if order is Order.TIME and not outcome.earliest:
        outcome = _quickest(goal, outcome, effort, cores)
    route = _checked(goal, outcome.trace or Trace(()))
    proved = order is Order.TIME and outcome.earliest
    others = Others(None, None, (), explored.words if isinstance(explored, Stopped) else "")
    return Routed(goal, order, outcome, route, proved, 0, others)


def _quickest(goal: Goal, known: Outcome, effort: Effort, cores: Cores | None) -> Outcome:
    """Ask whether the goal is met no sooner than in a run, as a claim would; again if it is."""
    design = goal.system.design
    (claim,) = design.claims
    if not isinstance(claim.sentence, Possible):
        return known
    for _ in range(MOST_QUICKER):
        if known.trace is None:
            break
        sentence = NoSooner(claim.sentence.what, known.trace.length - 1)
        system = lower(replace(design, claims=(replace(claim, sentence=sentence),)))
        found = Decider(system, effort, cores, worst=False).decide(system.questions[0])
        if found.verdict is Verdict.HOLDS and found.reach is Reach.FOREVER:
            return replace(known, earliest=True, by=found.by, engine=found.engine)
        if found.trace is None:
            break
        # The clocks of the claim come after those of the design.
        clocks = len(goal.system.clocks)
        steps = (replace(one, draws=one.draws[:clocks]) for one in found.trace.steps)
        quicker = replace(known, trace=Trace(tuple(steps)), engine=found.engine, by=found.by)
        known = shortened(goal.system, goal.question, quicker)
    return known


def _told(goal: Goal, trace: Trace, moves: int) -> Route:
    """Return a route whose presses are as short and as late as may be."""
    route = _checked(goal, trace)
    if route.moves != moves:
        raise AssertionError(f"{route.moves} moves are seen where {moves} were counted")
    plain = shortened(goal.system, goal.question, Outcome(Verdict.HOLDS, trace=trace)).trace
    if plain is None or plain.length != trace.length:
        return route
    other = _checked(goal, plain)
    return other if other.moves <= moves else route


def _checked(goal: Goal, trace: Trace) -> Route:
    """Return a run as a route once the reference simulator has replayed it."""
    ruling = replay(goal.system, trace, goal.node, anywhere=False).ruling
    if not ruling.sound:
        raise AssertionError(f"a route is none: {ruling.words}")
    return Route(trace, deeds(goal.system, goal.node, trace))


def _others(
    goal: Goal, space: Space, order: Order, found: Path, wish: tuple[Effort, int]
) -> Others:
    effort, listed = wish
    budget = Budget.of(EXPLORING * effort.seconds, memory=effort.memory)
    stopped = space.explore(budget)
    if stopped is not None:
        return Others(None, None, (), stopped.words)
    all_ways = ways(space, order, found, listed, budget)
    if all_ways is None:
        return Others(None, None, (), "the effort did not last to count them")
    routes = (_told(goal, space.trace_of(one.edges), one.moves) for one in all_ways.paths)
    return Others(all_ways.count, all_ways.classes, tuple(routes))
