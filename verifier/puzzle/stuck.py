"""Can people get stuck: come to a state from which the goal can't be reached any more?

Where every state can be tried, all states are, forward from the start and backward from the goal;
a shortest run into a stuck one is then found, and every act after which the goal is gone. The
answer is what is proved: that there is none by the engines' answer to "always possible", that a
state is stuck by a proof that nothing leads to the goal from there; the judge looks at both. Where
no proof is accepted the answer is unknown, whatever the search found. A run counts only if it can
go on for ever within the assumptions.
"""

from dataclasses import dataclass, replace

from verifier.engines.contract import Asked, Budget
from verifier.engines.crew import Cores
from verifier.engines.decide import Decider, Effort
from verifier.puzzle.goal import Goal
from verifier.puzzle.listed import listed
from verifier.puzzle.stuck_acts import Mistake, mistakes_of
from verifier.puzzle.stuck_holds import Hold, holds_of
from verifier.puzzle.stuck_space import Explored, explore
from verifier.system.model import Question, System
from verifier.system.state import start_of
from verifier.verdict.answer import Outcome, Verdict
from verifier.verdict.evidence import Stopped
from verifier.verdict.replay import follow
from verifier.verdict.trace import State, Trace
from verifier.verdict.variant import begun_at


@dataclass(frozen=True, slots=True)
class Trap:
    """A run after whose last tick the goal can't be reached any more.

    `lost` is the last tick at which it still could be, None where that is not known. `shortest`:
    no run gets stuck sooner. `holds` are what keeps it so, as far as that could be told.
    `afterwards`: that comes only in runs that have reached the goal before; None: not known.
    """

    trace: Trace
    lost: int | None
    shortest: bool
    holds: tuple[Hold, ...]
    afterwards: bool | None


@dataclass(frozen=True, slots=True)
class Stuck:
    """What is known.

    `outcome` answers whether the goal is always possible: it holds where nobody can get stuck. It
    fails without a trap where the goal can't be reached at all. Where it is unknown, a trap is one
    that the search found and no proof was accepted of. Of `states` states that runs come
    to `stuck` are stuck (None: not counted, or not all tried). `mistakes` are the acts after which
    the goal is gone, the soonest first; `why` says why not all states were tried.
    """

    goal: Goal
    outcome: Outcome
    trap: Trap | None = None
    states: int | None = None
    stuck: int | None = None
    mistakes: tuple[Mistake, ...] = ()
    why: str = ""


def find_stuck(goal: Goal, effort: Effort, cores: Cores | None = None) -> Stuck:
    """Return whether people can get stuck, and how."""
    explored = explore(goal, Budget.of(2 * effort.seconds, memory=effort.memory))
    search = _Search(goal, effort, cores)
    if isinstance(explored, Stopped):
        return search.asked(explored)
    if not explored.live:
        outcome = Outcome(Verdict.UNKNOWN, reason="no run keeps the assumptions for ever")
        return Stuck(goal, outcome, states=0, stuck=0)
    if not explored.stuck:
        return search.none(explored)
    if 0 in explored.stuck:
        return search.never(explored)
    return search.trapped(explored)


@dataclass(frozen=True, slots=True)
class _Search:
    goal: Goal
    effort: Effort
    cores: Cores | None

    def none(self, explored: Explored) -> Stuck:
        """Every state was tried and none is stuck: let it be proved."""
        outcome = self._answer(self.goal.system, self.goal.always(), Asked.OPEN)
        if outcome.verdict is Verdict.FAILS:
            raise AssertionError("a dead end was found where every state was tried without one")
        return Stuck(self.goal, _proved(outcome), states=explored.count(explored.live), stuck=0)

    def never(self, explored: Explored) -> Stuck:
        """The goal can't be reached from the start on."""
        outcome = self._answer(self.goal.system, self.goal.question, Asked.GOAL)
        if outcome.verdict is Verdict.HOLDS:
            raise AssertionError("a way was found where every state was tried without one")
        states = explored.count(explored.live)
        return Stuck(self.goal, _proved(outcome), states=states, stuck=states)

    def trapped(self, explored: Explored) -> Stuck:
        """Some states are stuck: tell of a soonest one, and let it be proved that it is."""
        afterwards, edges = explored.way_into_stuck()
        trace = explored.space.trace_of(edges)
        after = self._after(trace)
        outcome = self._lost(after)
        if outcome.verdict is Verdict.HOLDS:
            raise AssertionError("a way was found from a state that should be stuck")
        trap = Trap(
            trace,
            trace.length - 1,
            shortest=True,
            holds=self._holds(after),
            afterwards=afterwards,
        )
        return Stuck(
            self.goal,
            replace(_proved(outcome), trace=trace),
            trap,
            states=explored.count(explored.live),
            stuck=explored.count(explored.stuck),
            mistakes=mistakes_of(explored),
        )

    def asked(self, explored: Stopped) -> Stuck:
        """There are too many states to try: ask the engines."""
        decider = Decider(self.goal.system, self.effort, self.cores, worst=False)
        outcome = decider.decide(self.goal.always())
        trace = outcome.lasso.trace if outcome.lasso is not None else outcome.trace
        if outcome.verdict is not Verdict.FAILS or trace is None:
            return Stuck(self.goal, outcome, why=explored.words)
        lost = self._last_moment(trace)
        if lost == _NEVER:
            outcome = replace(self._lost(self._after(None)), trace=None)
            return Stuck(self.goal, outcome, why=explored.words)
        if lost is not None:
            trace = trace.first(lost + 1)
        outcome = replace(outcome, trace=trace, lasso=None)
        holds = self._holds(self._after(trace))
        trap = Trap(trace, lost, shortest=False, holds=holds, afterwards=None)
        return Stuck(self.goal, outcome, trap, why=explored.words)

    def _answer(self, system: System, question: Question, asked: Asked) -> Outcome:
        """Return the answer to a question: by a list of states if they are few, or the engines'."""
        short = listed(system, question, asked, self.effort)
        if short is not None:
            return short
        return Decider(system, self.effort, self.cores, worst=False).decide(question)

    def _after(self, trace: Trace | None) -> State:
        """Return the state after a run, as the reference simulator has it."""
        if trace is None:
            return start_of(self.goal.system)
        replayed = follow(self.goal.system, trace)
        if replayed.after is None:
            raise AssertionError(f"a run is none: {replayed.ruling.words}")
        return replayed.after

    def _lost(self, state: State) -> Outcome:
        """Return the answer to whether the goal can be reached from a state."""
        return self._answer(begun_at(self.goal.system, state), self.goal.question, Asked.GOAL)

    def _holds(self, after: State) -> tuple[Hold, ...]:
        budget = Budget.of(self.effort.seconds, memory=self.effort.memory)
        return holds_of(self.goal, after, budget)

    def _last_moment(self, trace: Trace) -> int | None:
        """Return the last tick of a run at which the goal can still be reached, by halving.

        _NEVER: not even at its start; None: that is not known. What is lost stays lost.
        """
        can, lost = _NEVER, trace.length
        while lost - can > 1:
            middle = (can + lost) // 2
            state = self._after(trace.first(middle) if middle else None)
            match self._lost(state).verdict:
                case Verdict.HOLDS:
                    can = middle
                case Verdict.FAILS:
                    lost = middle
                case Verdict.UNKNOWN:
                    return None
        return can


_NEVER = -1


def _proved(outcome: Outcome) -> Outcome:
    """Return an answer, or, where nothing was proved, that what the search found is not."""
    if outcome.verdict is not Verdict.UNKNOWN:
        return outcome
    return replace(outcome, reason="every state was tried, and no proof of it was accepted")
