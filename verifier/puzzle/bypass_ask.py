"""Can the goal be reached in a certain manner: without using a thing, or using one thing first?

The manner is written into the system: registers note on the way what was used, and the target is
the goal in a run that has kept to the manner. So the question is a plain one, whether the target is
possible; every state is tried, and what is then ruled out is put to the engines and the judge.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from verifier.engines.contract import Asked, Budget
from verifier.engines.crew import Cores
from verifier.engines.decide import Decider, Effort
from verifier.puzzle.goal import Goal
from verifier.puzzle.listed import MOST_LISTED, listed
from verifier.puzzle.moves import deeds
from verifier.puzzle.route import Route
from verifier.puzzle.space import Rules, Space, TooManyWaysError
from verifier.puzzle.space_paths import Nothing, Order, Path, best
from verifier.simulate.variations import shortened
from verifier.system.expr import Node
from verifier.system.model import Question, Register, System
from verifier.verdict.answer import Outcome, Verdict
from verifier.verdict.evidence import Stopped, Why
from verifier.verdict.replay import replay
from verifier.verdict.trace import Trace


@dataclass(frozen=True, slots=True)
class Found:
    """A route in the manner asked for; without one it is `proved` that there is none, or unknown.

    Proved is what the judge accepts; `reason` says why it is unknown.
    """

    route: Route | None
    reason: str = ""
    engine: str = ""
    by: tuple[str, ...] = ()

    @property
    def proved(self) -> bool:
        """Whether it is proved that there is no such route."""
        return bool(self.by)

    @property
    def unknown(self) -> bool:
        """Whether neither a route nor its absence is known."""
        return self.route is None and not self.proved


@dataclass(frozen=True, slots=True)
class Manner:
    """A way to go about a goal: `target` is the goal so reached, `spoilt` what rules it out."""

    system: System
    target: Node
    spoilt: Node


def without(goal: Goal, used: Sequence[Node]) -> Manner:
    """Return: the goal is reached, and none of these was live up to then, that tick included."""
    system, pool = goal.system, goal.system.pool
    now = pool.or_(*used)
    was = pool.register(len(system.registers))
    register = Register("used", start=False, next=pool.or_(was, now), kept=False)
    target = pool.and_(goal.node, pool.not_(was), pool.not_(now))
    return Manner(replace(system, registers=(*system.registers, register)), target, now)


def other_way_round(goal: Goal, earlier: Node, later: Node) -> Manner:
    """Return: the goal is reached, and no use of `earlier` began before one of `later`, or with it.

    Uses that go on count where they begin.
    """
    system, pool = goal.system, goal.system.pool
    size = len(system.registers)
    one_was, other_was, begun, broken = (pool.register(size + more) for more in range(4))
    begins = pool.and_(later, pool.not_(other_was))
    first = pool.and_(earlier, pool.not_(one_was))
    spoilt = pool.and_(begins, pool.or_(begun, first))
    now = pool.or_(broken, spoilt)
    registers = (
        *system.registers,
        Register("earlier used", start=False, next=earlier, kept=False),
        Register("later used", start=False, next=later, kept=False),
        Register("earlier begun", start=False, next=pool.or_(begun, first), kept=False),
        Register("in the usual order", start=False, next=now, kept=False),
    )
    target = pool.and_(goal.node, pool.not_(now))
    return Manner(replace(system, registers=registers), target, spoilt)


@dataclass(frozen=True, slots=True)
class Asker:
    """Asks for routes to a goal, each with the same effort."""

    goal: Goal
    effort: Effort
    cores: Cores | None = None

    def ask(self, manner: Manner) -> Found:
        """Return a quickest route in a manner; or that there is none, or that it is not known."""
        tried = self.tried(manner)
        if isinstance(tried, Route):
            return Found(tried)
        question = replace(self.goal.question, goal=manner.target)
        if isinstance(tried, Nothing) and tried.states <= MOST_LISTED:
            none = listed(manner.system, question, Asked.GOAL, self.effort)
            if none is not None:
                return Found(None, engine=none.engine, by=none.by)
        outcome = Decider(manner.system, self.effort, self.cores, worst=False).decide(question)
        if outcome.trace is not None:
            return Found(self._route(manner, question, outcome))
        if outcome.verdict is Verdict.FAILS:
            return Found(None, engine=outcome.engine, by=outcome.by)
        if isinstance(tried, Nothing):
            return Found(None, f"{tried.states} states were tried; no proof was accepted")
        return Found(None, outcome.reason or tried.words)

    def budget(self, times: int = 1) -> Budget:
        """Return the effort for one question, or for so many."""
        return Budget.of(times * self.effort.seconds, memory=self.effort.memory)

    def tried(self, manner: Manner, budget: Budget | None = None) -> Route | Nothing | Stopped:
        """Return what comes of trying every state, and no more."""
        budget = self.budget() if budget is None else budget
        rules = Rules(avoid=manner.spoilt)
        try:
            space = Space(manner.system, manner.target, rules, counts=False)
            found = best(space, Order.TIME, budget)
        except TooManyWaysError as many:
            return Stopped(Why.NOT_SUITED, str(many))
        if not isinstance(found, Path):
            return found
        outcome = Outcome(Verdict.HOLDS, trace=space.trace_of(found.edges))
        return self._route(manner, replace(self.goal.question, goal=manner.target), outcome)

    def _route(self, manner: Manner, question: Question, outcome: Outcome) -> Route:
        """Return a run without needless presses, once the reference simulator has replayed it."""
        trace = shortened(manner.system, question, outcome).trace or outcome.trace
        if trace is None:
            raise AssertionError("a way was found, and there is no run of it")
        ruling = replay(manner.system, trace, manner.target, anywhere=False).ruling
        if not ruling.sound:
            raise AssertionError(f"a route is none: {ruling.words}")
        return self.told(trace)

    def told(self, trace: Trace) -> Route:
        """Return a run with what is done in it."""
        return Route(trace, deeds(self.goal.system, self.goal.node, trace))
