"""Targets that no state at all can have, or that one tick of induction excludes."""

from dataclasses import dataclass

from verifier.engines.contract import Asked, Budget, Task
from verifier.logic.tick import Limits, judge_invariant
from verifier.simulate.machine import reads_choices
from verifier.verdict.evidence import Evidence, Invariant, Stopped, Why

COST = 0.01
"""Measured: nominal seconds for the queries about one candidate."""


@dataclass(frozen=True, slots=True)
class Structural:
    """Tries "anything" and "never the target" as invariants."""

    name: str = "structure"
    description: str = "proves what follows from the wiring alone"

    def run(self, task: Task, budget: Budget) -> Evidence | Stopped:
        """Return an invariant if one of the two is one."""
        if task.asked in (Asked.WAITING, Asked.OPEN):
            return Stopped(Why.NOT_SUITED, "an invariant says nothing of what comes in the end")
        system = task.cone.system
        candidates = [system.pool.yes]
        if not reads_choices(task.target):
            candidates.append(system.pool.not_(task.target))
        limits = Limits(steps=400_000, seconds=max(0.05, budget.seconds()))
        anywhere = task.question.anywhere
        for node in candidates:
            if budget.left() < COST:
                return Stopped(Why.TIME, "no effort left for its queries")
            budget.use(COST)
            if judge_invariant(system, node, task.target, limits, anywhere=anywhere).sound:
                return Invariant(node)
        return Stopped(Why.NOTHING, "it does not follow from the wiring alone")
