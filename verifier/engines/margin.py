"""How near runs come to the numbers of a claim: the hardest bound with which it still holds.

The same claim is asked again with other numbers in its sentence. Random runs, read by the claim's
own clock, say which bounds are broken for certain; the next one after these is proved. So mostly
one look at runs and one proof are enough; else the bounds in between are halved. What counts is
what the judge says: a bound is broken by a run that it has replayed, and holds by a proof that it
accepts.
"""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace

from verifier.design.bounds import Bound, Measure, bounds, with_bound
from verifier.engines.bounded import Bounded
from verifier.engines.contract import Budget, Engine, Task
from verifier.engines.explicit import Explicit
from verifier.engines.gauge import Gauge, gauge
from verifier.engines.localise import Localise
from verifier.engines.recurrence import Recurrence
from verifier.engines.search import Effort
from verifier.engines.walk import Walk
from verifier.engines.zones import Zones
from verifier.logic.judge import Case, judge, settled
from verifier.logic.native import WANT
from verifier.simulate.onward import completed, way_on
from verifier.system.cone import cone
from verifier.system.lower import lower
from verifier.system.model import Question, System
from verifier.system.state import start_of
from verifier.verdict.answer import Emptiness, Margin, Outcome, Reach, Verdict
from verifier.verdict.evidence import (
    Asked,
    Circles,
    Closed,
    Evidence,
    Explored,
    Invariant,
    Reaches,
    Stopped,
)
from verifier.verdict.trace import State, Step, Trace

SHARE = 0.5
"""Part of the effort for a claim that each of its margins may take besides."""

LOOKS = (0.1, 0.2)
"""Parts of a margin's effort for looks at random runs, one after the other; turned round for a
claim that fails, as runs mostly show that it does so with any number."""

MISSED = 0.4
"""Part of the effort for a claim that fails: mostly there is no bound with which it holds."""

PROVERS: tuple[Engine, ...] = (Recurrence(), Localise(), Zones(), Explicit(most=3000))
"""Engines that show that a bound holds; some may show that it is broken instead."""

BOUNDED = Bounded(share=0.0)

ALL: tuple[Engine, ...] = (Walk(share=0.2), *PROVERS, BOUNDED)

TURN = 0.25
"""What each engine may use of what is left of a margin's effort."""


@dataclass(frozen=True, slots=True)
class Told:
    """What was found of a claim's margins, and the nominal seconds it took."""

    margins: tuple[Margin, ...] = ()
    used: float = 0.0


def margins(system: System, question: Question, outcome: Outcome, effort: Effort) -> Told:
    """Return the margins of a claim that was answered.

    A claim that holds for ever has them, and one that fails by its only number.
    """
    stated = bounds(question.claim.sentence)
    known = outcome.verdict is Verdict.HOLDS and outcome.reach is Reach.FOREVER
    missed = outcome.verdict is Verdict.FAILS and len(stated) == 1 and stated[0].stated is not None
    if outcome.empty is not Emptiness.TESTED or not (known or missed):
        return Told()
    found, used = [], 0.0
    for bound in stated:
        seconds = effort.seconds * SHARE * (MISSED if missed else 1.0)
        budget = Budget.of(seconds, memory=effort.memory)
        search = _Search(system, question, bound, budget, effort, missed=missed)
        if missed:
            search.broken, search.run = bound.stated, outcome.trace
        else:
            search.proved = bound.stated
        with suppress(*WANT):
            search.look()
        found.append(search.margin())
        used += budget.used
    return Told(tuple(one for one in found if one is not None), used)


@dataclass(slots=True, eq=False)
class _Search:
    """The hardest bound known to hold, and the easiest known to be broken, of one claim.

    `missed`: the claim fails by its number, which is tried for no longer than is likely to help.
    """

    system: System
    question: Question
    bound: Bound
    budget: Budget
    effort: Effort
    missed: bool
    proved: int | None = None
    broken: int | None = None
    run: Trace | None = None
    _asked: dict[int, tuple[System, Question]] = field(default_factory=dict)
    _unproved: set[int] = field(default_factory=set)

    def look(self) -> None:
        """Bring the two bounds together, as far as the budget goes."""
        match self.bound.measure:
            case Measure.SOONEST:
                self._shorten()
            case Measure.TIMES:
                self._step()
            case _:
                seed, patient = self.effort.seed, self.missed
                asked = self._with(self._far)
                runs = gauge(*asked, self.bound, self._far, seed, patient=patient)
                if runs is None:
                    self._halve()
                else:
                    self._climb(runs)

    def margin(self) -> Margin | None:
        """Return what can be said, None where it is no more than the claim itself says."""
        if self.proved is None or not (self._exact or self.proved != self.bound.stated):
            return None
        if self.broken is None and self.bound.easier < 0:
            return None  # it may never happen at all, and the number would be one of our own
        return Margin(self.bound.measure, self.proved, self.bound.stated, self._exact, self.run)

    @property
    def _far(self) -> int:
        """A bound that is met only where waiting has no end, as far as one can guess."""
        spans = sum(clock.longest for clock in self.system.clocks if clock.kept)
        return max(16 + 4 * spans, 2 * (self.bound.stated or 0))

    @property
    def _next(self) -> int:
        """The hardest bound that is not known to be broken."""
        return 0 if self.broken is None else self.broken + self.bound.easier

    @property
    def _exact(self) -> bool:
        return self.proved == self._next and (self.broken is not None or self.bound.easier > 0)

    # --- ways to go about it ---

    def _climb(self, runs: Gauge) -> None:
        """Measure runs, then try to prove the next bound; where that fails, measure more."""
        for share in reversed(LOOKS) if self.missed else LOOKS:
            part = self.budget.slice(self.budget.effort * share)
            harder = runs.look(part)
            self.budget.use(part.used)
            if runs.broken == runs.far:
                return
            if harder and runs.broken is not None and runs.run is not None:
                self._show(runs.broken, runs.run)
            if self.broken is None and self.bound.easier < 0:
                return
            if self._exact or (self.broken is not None and self._holds(self._next)):
                return
        self._halve()

    def _shorten(self) -> None:
        """Make a run short that gets there, then prove that none does sooner."""
        for engine in (Walk(luck=1), Explicit(most=3000), BOUNDED):
            self._settle(self._far if self.broken is None else self.broken - 1, (engine,))
            if self.broken is not None and (self._exact or self._holds(self._next)):
                return

    def _step(self) -> None:
        """Go one number after the other, down from what holds or up from what is broken."""
        while not self._exact and not self.budget.spent():
            ask = self._next if self.proved is None else self.proved - self.bound.easier
            if self._settle(ask, ALL) is None:
                return

    def _halve(self) -> None:
        """Try the bound next to one that holds, then those half-way to the broken ones."""
        if self.proved is None and (self.missed or not self._holds(self._far)):
            return
        while self.proved is not None and not self._exact and not self.budget.spent():
            edge = self.proved == self.bound.stated
            half = self.proved + (self._next - self.proved) // 2
            if self._settle(self.proved - self.bound.easier if edge else half, ALL) is None:
                return

    # --- single bounds ---

    def _with(self, value: int) -> tuple[System, Question]:
        """Return the design with this claim only, and the claim with another bound."""
        if value not in self._asked:
            claim, design = self.question.claim, self.system.design
            sentence = with_bound(claim.sentence, self.bound, value)
            alone = replace(design, claims=(replace(claim, sentence=sentence),))
            system = lower(alone)
            self._asked[value] = system, system.questions[0]
        return self._asked[value]

    def _task(self, value: int) -> tuple[Task, Case]:
        system, asked = self._with(value)
        roots = [asked.bad, system.domain] if asked.anywhere else [asked.bad]
        task = Task(cone(system, roots), asked, Asked.BAD, asked.bad, asked.limit, self.effort.seed)
        return task, Case(system, asked.bad, asked.anywhere)

    def _holds(self, value: int) -> bool:
        """Return whether a bound is proved to hold for ever; none is tried again with less left."""
        if value in self._unproved:
            return False
        self._unproved.add(value)
        return self._settle(value, PROVERS) is True

    def _settle(self, value: int, engines: Sequence[Engine]) -> bool | None:
        """Return whether a bound holds for ever, None if none of the engines can tell."""
        task, case = self._task(value)
        for engine in engines:
            part = self.budget.slice(self.budget.left() * TURN)
            evidence = engine.run(task, part)
            self.budget.use(part.used)
            if isinstance(evidence, Reaches):
                if self._show(value, evidence.trace):
                    return False
            elif not isinstance(evidence, Stopped) and _shows(task, case, evidence, self.effort):
                self.proved = value
                return True
        return None

    def _show(self, value: int, trace: Trace) -> bool:
        """Take a run that breaks a bound, if the judge finds that it does and that it counts."""
        if self.bound.measure is Measure.SOONEST:
            value = trace.length  # the run gets there at its last tick
        system, asked = self._with(value)
        whole = completed(system, _as_of(system, trace))
        case = Case(system, asked.bad, asked.anywhere)
        judged = judge(case, Reaches(whole), self.effort.judge)
        onward = way_on(system, judged.after)[1] if judged.ruling.sound else None
        if not settled(case, Asked.BAD, Reaches(whole, onward=onward), judged).sound:
            return False
        self.broken = value
        self.run = _as_of(self.system, whole)
        return True


def _shows(task: Task, case: Case, evidence: Evidence, effort: Effort) -> bool:
    """Return whether the judge finds that evidence shows the target to be met at no tick at all."""
    match evidence:
        case Closed() if evidence.short_of(task.question.limit):
            return False
        case Invariant() | Explored() | Closed() | Circles():
            return settled(case, Asked.BAD, evidence, judge(case, evidence, effort.judge)).sound
        case _:
            return False


def _as_of(system: System, trace: Trace) -> Trace:
    """Return a run of a design with one claim as one of the design with all of them.

    Choices and timers are the same in both and come first; no monitor draws a span.
    """
    size = len(system.design.timers)
    idle = (0,) * (len(system.clocks) - size)
    steps = tuple(Step(one.choices, (*one.draws[:size], *idle), one.ticks) for one in trace.steps)
    start = trace.start
    if start is not None:
        begun = start_of(system)
        bits = sum(register.kept for register in system.registers)
        start = State(
            (*start.registers[:bits], *begun.registers[bits:]),
            (*start.clocks[:size], *begun.clocks[size:]),
        )
    return Trace(steps, start)
