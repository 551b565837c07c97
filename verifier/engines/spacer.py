"""Invariants by the solver's own search for one: an independent way, when the others gave up.

Method: see verifier/logic/fixpoint.py. It is begun from a few seeds: each finds its own way or
loses it.
"""

from dataclasses import dataclass

from verifier.engines.bounded import STEP
from verifier.engines.contract import Asked, Budget, Task
from verifier.engines.pieces import joined, pieces
from verifier.logic.fixpoint import rules
from verifier.logic.native import Result
from verifier.logic.spoken import UnspokenError
from verifier.verdict.evidence import Evidence, Invariant, Stopped, Why


@dataclass(frozen=True, slots=True)
class Spacer:
    """Asks z3 for an invariant, up to `seeds` times, each with an equal part of what is left."""

    seeds: int = 2
    name: str = "spacer"
    description: str = "asks the solver itself for an invariant"

    def run(self, task: Task, budget: Budget) -> Evidence | Stopped:
        """Return an invariant, or say why there is none."""
        if task.asked not in (Asked.BAD, Asked.GOAL, Asked.TRIGGER):
            return Stopped(Why.NOT_SUITED, "an invariant proves only that a target is never met")
        if not (task.cone.registers or task.cone.clocks):
            return Stopped(Why.NOT_SUITED, "nothing changes from tick to tick")
        proofs = []
        for piece in pieces(task):
            found = self._piece(piece, budget)
            if isinstance(found, Stopped):
                return found
            proofs.append(found)
        return joined(task.cone.system.pool, proofs)

    def _piece(self, task: Task, budget: Budget) -> Invariant | Stopped:
        found: Invariant | Stopped = Stopped(Why.TIME, "not begun")
        for turn in range(self.seeds):
            part = budget.slice(budget.left() / (self.seeds - turn))
            found = self._ask(task, part, task.seed + turn)
            budget.use(part.used)
            if not isinstance(found, Stopped) or found.why is Why.NOTHING:
                break
        return found

    def _ask(self, task: Task, budget: Budget, seed: int) -> Invariant | Stopped:
        anywhere = task.question.anywhere
        left = budget.left()
        if left <= 0:
            return Stopped(Why.TIME, "no time to ask the solver")
        with rules(task.cone, task.target, seed, anywhere=anywhere) as room:
            result = room.solve(max(1000, int(left / STEP)), max(0.05, budget.seconds()))
            budget.use(room.steps() * STEP)
            if result is Result.SAT:
                return Stopped(Why.NOTHING, "the solver says that a run meets the target")
            if result is Result.UNKNOWN:
                return Stopped(Why.TIME, "the solver found no invariant in time")
            try:
                return Invariant(room.invariant())
            except UnspokenError as error:
                return Stopped(Why.SOLVER, f"the invariant found cannot be told: {error}")
