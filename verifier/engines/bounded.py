"""Bounded jumps: the earliest meeting, or the proof that there is none up to a time.

Bounded model checking (A. Biere, A. Cimatti, E. Clarke, Y. Zhu, TACAS 1999) over jumps instead of
ticks. The first number of jumps that meets the target need not be the earliest in time, so the
search goes on with "begins before the best" until no run with so many jumps is left.
"""

from dataclasses import dataclass

from verifier.engines.contract import Asked, Budget, Task
from verifier.logic.jumps import Unrolling
from verifier.logic.native import Result, Room, Term
from verifier.verdict.evidence import Closed, Evidence, Reaches, Stopped, Why
from verifier.verdict.trace import Trace

STEP = 4e-7
"""Measured: nominal seconds for one of the solver's own steps."""

FAR = 1 << 60
"""A tick beyond all: stands for no horizon. So far no 400 jumps come, of 10^15 ticks at most."""


@dataclass(slots=True, eq=False)
class Search:
    """One search: the best meeting so far, and up to which tick all runs are known to meet none."""

    unrolling: Unrolling
    room: Room
    budget: Budget
    best: Trace | None = None
    seen: int = -1
    jumps: int = 0

    def ask(self, *given: Term) -> Result:
        """Ask the solver within what is left of the budget, and book its work."""
        before = self.room.steps()
        left = self.budget.left()
        if left <= 0:
            return Result.UNKNOWN
        steps = max(1000, int(left / STEP))
        result = self.room.check(given, steps=steps, seconds=max(0.05, self.budget.seconds()))
        self.budget.use((self.room.steps() - before) * STEP)
        return result


@dataclass(frozen=True, slots=True)
class Bounded:
    """Jumps in the solver; `most` bounds their number, `share` is kept for how far it came."""

    most: int = 400
    share: float = 0.25
    name: str = "bounded jumps"
    description: str = "finds the earliest failure, or proves that there is none up to a time"

    def run(self, task: Task, budget: Budget) -> Evidence | Stopped:
        """Return the earliest meeting known, or how far there is none."""
        if task.asked in (Asked.WAITING, Asked.OPEN):
            return Stopped(Why.NOT_SUITED, "bounded runs are finite")
        part = budget.slice(budget.left() * (1 - self.share))
        limit = FAR if task.horizon is None else task.horizon
        with Room(seed=task.seed) as room:
            unrolling = Unrolling(room, task.cone, task.target, task.question.anywhere)
            search = Search(unrolling, room, part)
            closed = self._deepen(search, limit)
            budget.use(part.used)
            if search.best is not None:
                return Reaches(search.best, earliest=closed)
            if closed:
                return Closed(task.horizon, search.jumps)
            search.budget = budget
            self._how_far(search, limit)
            if search.seen < 0:
                return Stopped(Why.TIME, f"{search.jumps} jumps tried")
            return Closed(search.seen, search.jumps)

    def _deepen(self, search: Search, limit: int) -> bool:
        """Add jumps until no run is left that could meet the target earlier; say if none is."""
        unrolling = search.unrolling
        while search.jumps < self.most:
            jump = search.jumps
            while True:
                until = limit if search.best is None else search.best.length - 2
                result = search.ask(unrolling.met(jump), unrolling.begins_by(jump, until))
                if result is not Result.SAT:
                    break
                search.best = unrolling.trace(search.room.model(), jump)
            if result is Result.UNKNOWN:
                return False
            search.jumps = jump + 1
            unrolling.extend()
            until = limit if search.best is None else search.best.length - 2
            result = search.ask(unrolling.begins_by(search.jumps, until))
            if result is Result.UNSAT:
                return True
            if result is Result.UNKNOWN or search.budget.spent():
                return False
        return False

    def _how_far(self, search: Search, limit: int) -> None:
        """Find up to which tick the jumps made so far cover all runs, by halving."""
        if search.jumps == 0 or len(search.unrolling.jumps) <= search.jumps:
            return
        low, step = -1, 1
        while True:
            tick = min(limit, low + step)
            result = search.ask(search.unrolling.begins_by(search.jumps, tick))
            if result is Result.UNSAT:
                low, step = tick, step * 2
                if tick == limit:
                    break
            elif result is Result.SAT:
                begins = search.unrolling.begins(search.room.model(), search.jumps)
                limit = min(tick, begins) - 1
                step = max(1, (limit - low) // 2)
                if limit <= low:
                    break
            else:
                break
        search.seen = low
