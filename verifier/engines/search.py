"""Looks for one target: engines hand in evidence, the judge looks at it, nothing else counts."""

from contextlib import suppress
from dataclasses import dataclass, field, replace

from verifier.engines.bounded import Bounded
from verifier.engines.contract import Asked, Budget, Task
from verifier.engines.crew import Cores
from verifier.engines.portfolio import Side
from verifier.engines.race import Race, Tried
from verifier.engines.sooner import by_trying, by_zones
from verifier.logic.judge import Case, Judged, judge, settled
from verifier.logic.native import WANT
from verifier.logic.tick import Limits
from verifier.simulate.onward import Way, completed, way_on
from verifier.system.cone import closed, cone
from verifier.system.expr import Node
from verifier.system.model import Question, System
from verifier.verdict.evidence import (
    Circles,
    Closed,
    Evidence,
    Reaches,
    Stopped,
    Trapped,
    Why,
)
from verifier.verdict.replay import Seen
from verifier.verdict.rules import shows_of
from verifier.verdict.ruling import SOLVER, SOUND, Finding, Ruling, sound, unsure
from verifier.verdict.trace import Lasso

SHORTEN = 0.06
"""Part of the effort spent on a proof that none is earlier, on an earlier run, and on its proof."""

JUDGE_STEPS = 5_000_000
JUDGE_SECONDS = 10.0
"""What the judge may spend on one query, for each nominal second of effort: two seconds on a usual
machine. Of 1,500 queries for the designs of the bench none took a tenth of that."""


@dataclass(frozen=True, slots=True)
class Effort:
    """How hard to try one claim.

    `seconds` are nominal ones, for each of the two sides (engines/race.py); `memory` the most
    megabytes of one process; `horizon` a tick, None for one that fits the design; `certificates`:
    each answer is to come with the text of its proof.
    """

    seconds: float = 2.0
    memory: int = 2048
    seed: int = 0
    horizon: int | None = None
    certificates: bool = False

    @property
    def judge(self) -> Limits:
        """What the judge may spend on one query."""
        scale = max(self.seconds, 1.0)
        return Limits(steps=int(JUDGE_STEPS * scale), seconds=JUDGE_SECONDS * scale)


@dataclass(frozen=True, slots=True)
class Found:
    """Evidence that the judge accepts, with its ruling and the engine that handed it in."""

    evidence: Evidence
    engine: str
    seen: Seen | None = None
    ruling: Ruling = SOUND


@dataclass(frozen=True, slots=True)
class Sought:
    """What came of looking for one target.

    `partial` is a bounded proof that ends before the horizon. `notes` say why engines ended without
    evidence, or why theirs was refused; `fault`: some was refused, which is an error of ours.
    `used` are nominal seconds.
    """

    found: Found | None
    partial: Closed | None
    engine: str
    notes: tuple[str, ...]
    fault: bool
    used: float

    @property
    def proof(self) -> tuple[Evidence, Ruling] | None:
        """What the judge accepts, even if it does not go far enough; None if there is nothing."""
        if self.found is not None:
            return self.found.evidence, self.found.ruling
        return None if self.partial is None else (self.partial, sound(SOLVER))

    @property
    def why(self) -> str:
        """Say why nothing was found."""
        return "; ".join(self.notes) or "no engine could settle it"


@dataclass(slots=True, eq=False)
class Search:
    """The search for one target of one system."""

    system: System
    effort: Effort
    cores: Cores | None
    question: Question
    asked: Asked
    target: Node
    horizon: int | None
    _task: Task = field(init=False)
    _case: Case = field(init=False)
    _accepted: dict[int, Found] = field(default_factory=dict)
    _rulings: dict[int, Ruling] = field(default_factory=dict)
    _partial: dict[int, Closed] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Take the cone of the target."""
        anywhere = self.question.anywhere
        roots = [self.target, self.system.domain] if anywhere else [self.target]
        part = cone(self.system, roots)
        self._task = Task(
            part, self.question, self.asked, self.target, self.horizon, self.effort.seed
        )
        self._case = Case(self.system, self.target, anywhere, shows_of(self.asked))

    def run(self) -> Sought:
        """Let the engines take their turns until the judge accepts what one hands in."""
        effort = self.effort
        race = Race(self._task, effort.seconds, effort.memory, self.cores, self._accept)
        won = race.run()
        used = race.spent()
        if won is not None:
            found = self._accepted[won.place]
            if isinstance(found.evidence, Reaches) and self.asked is not Asked.TRIGGER:
                budget = Budget.of(effort.seconds * 3 * SHORTEN, memory=effort.memory)
                # For want of memory or of the solver the run stands as it was found.
                with suppress(*WANT):
                    found = replace(found, evidence=self._earliest(found.evidence, budget))
                used += budget.used
            return Sought(found, None, won.engine, (), fault=False, used=used)
        place, partial = max(self._partial.items(), key=_until, default=(0, None))
        engine = race.tried[place].engine if partial else ""
        notes = tuple(self._notes(race.tried))
        fault = any(one.finding is Finding.WRONG for one in self._rulings.values())
        return Sought(None, partial, engine, notes, fault=fault, used=used)

    def _notes(self, tried: dict[int, Tried]) -> list[str]:
        """Say of each engine how its last turn ended, and what was refused."""
        notes = dict[tuple[str, bool], str]()
        for place, one in sorted(tried.items()):
            match one.evidence:
                case Stopped(why, words) if why is not Why.NOT_SUITED:
                    notes[one.engine, False] = words
                case _ if place in self._rulings:
                    notes[one.engine, True] = self._rulings[place].words
                case _:
                    pass
        return [f"{engine}: {words}" for (engine, _), words in notes.items()]

    def _accept(self, tried: Tried) -> Side | None:
        """Judge what a turn came to; return the side on which it settles the matter."""
        if isinstance(tried.evidence, Stopped):
            return None
        evidence, ruling, seen = self._judged(tried.evidence)
        if not ruling.sound:
            self._rulings[tried.place] = ruling
            return None
        if isinstance(evidence, Closed) and evidence.short_of(self.horizon):
            self._partial[tried.place] = evidence
            return None
        self._accepted[tried.place] = Found(evidence, tried.engine, seen, ruling)
        return self._side(evidence, seen)

    def _side(self, evidence: Evidence, seen: Seen | None) -> Side:
        match evidence:
            case Reaches() | Trapped():
                return Side.REFUTE
            case Circles():
                waits = self.asked is Asked.WAITING and seen is not None and seen.always_in_loop
                return Side.REFUTE if waits else Side.PROVE
            case _:
                return Side.PROVE

    def _whole(self, evidence: Evidence) -> Evidence:
        """Return a run of the cone as one of the whole system; all else as it is."""
        match evidence:
            case Reaches(trace) | Trapped(trace):
                return replace(evidence, trace=completed(self.system, trace))
            case Circles(Lasso(trace, back_to)):
                return Circles(Lasso(completed(self.system, trace), back_to))
            case _:
                return evidence

    def _judged(self, found: Evidence) -> tuple[Evidence, Ruling, Seen | None]:
        """Complete what an engine handed in, and put it to the judge."""
        evidence = self._whole(found)
        judged = judge(self._case, evidence, self.effort.judge)
        if judged.ruling.sound and self.system.allowed is not self.system.pool.yes:
            match evidence:
                case Reaches() | Trapped():
                    way, onward = way_on(self.system, judged.after)
                    if way is Way.NONE:
                        nowhere = unsure("the run found cannot go on within the assumptions")
                        judged = Judged(nowhere)
                    evidence = replace(evidence, onward=onward)
                case _:
                    pass
        return evidence, settled(self._case, self.asked, evidence, judged), judged.seen

    def _earliest(self, known: Reaches, budget: Budget) -> Reaches:
        """Look for an earlier run, or for a proof of "none sooner" that the judge accepts.

        What an engine says of its own run is not enough.
        """
        if closed(self._task.cone) and not self.question.anywhere:
            return replace(known, earliest=True)
        best, sure = known, self._by_zones(known, budget)
        if sure is None or not sure.sound:
            last = _last_before(known)
            part = budget.slice(self.effort.seconds * SHORTEN)
            evidence = Bounded(share=0.0).run(replace(self._task, horizon=last), part)
            budget.use(part.used)
            match evidence:
                case Closed(until) if until is None or until >= last:
                    closing = judge(self._case, evidence, self.effort.judge).ruling
                    sure = closing if closing.sound else sure
                case Reaches(trace):
                    better, ruling, _ = self._judged(Reaches(trace))
                    if ruling.sound and isinstance(better, Reaches):
                        best, sure = better, self._by_zones(better, budget)
                case _:
                    pass
        if sure is None:
            sure = by_trying(self._task, _last_before(best))
        return replace(best, earliest=sure.sound)

    def _by_zones(self, known: Reaches, budget: Budget) -> Ruling | None:
        part = budget.slice(self.effort.seconds * SHORTEN)
        found = by_zones(self._task, _last_before(known), part, self.effort.judge)
        budget.use(part.used)
        return found


def _last_before(known: Reaches) -> int:
    """Return the last tick at which another run would be sooner."""
    return known.trace.length - 2


def _until(item: tuple[int, Closed]) -> int:
    return item[1].until or 0
