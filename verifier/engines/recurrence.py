"""Where nobody acts and no span is drawn there is one run: follow it until a state comes back.

Exact for every question. Jumps go from event to event, so ticks cost nothing; the loop of several
flashers may be as long as the least common multiple of their periods.
"""

from dataclasses import dataclass

from verifier.engines.contract import Asked, Budget, Task
from verifier.simulate.machine import Position, closed, machine
from verifier.simulate.presses import Stretch, trace_of
from verifier.verdict.evidence import Circles, Evidence, Reaches, Stopped, Why
from verifier.verdict.trace import Lasso


@dataclass(frozen=True, slots=True)
class Recurrence:
    """The only run there is, until its state recurs; `jumps` bounds it."""

    jumps: int = 2_000_000
    name: str = "recurrence"
    description: str = "follows the only run there is until its state comes back"

    def run(self, task: Task, budget: Budget) -> Evidence | Stopped:
        """Follow the run; it ends at the target or where it closes."""
        if task.question.anywhere or not closed(task.cone):
            return Stopped(Why.NOT_SUITED, "more than one run is possible")
        follower = machine(task.cone, (task.target, task.cone.system.allowed))
        seen: dict[Position, int] = {}
        at, tick = follower.start(), 0
        choices, draws = follower.rest(), (0,) * len(follower.clocks)
        stops = task.asked not in (Asked.WAITING, Asked.OPEN)
        for jump in range(self.jumps):
            if at in seen:
                trace = trace_of(task.cone, [Stretch(tick, choices, draws)])
                return Circles(Lasso(trace, seen[at]))
            seen[at] = tick
            look = follower.look(*at, choices)
            target, allowed = look.seen
            if not allowed:
                return Stopped(Why.NOTHING, "the only run there is breaks an assumption")
            if target and stops:
                run = [Stretch(tick, choices, draws)] if tick else []
                whole = trace_of(task.cone, [*run, Stretch(1, choices, draws)])
                return Reaches(whole, earliest=True)
            most = follower.longest_jump(at, look, draws)
            ticks = _to_rest(at) if most is None else most
            at = follower.after(at, look, draws, ticks)
            tick += ticks
            if jump & 255 == 0:
                budget.use(follower.effort * 256)
                if budget.spent():
                    return Stopped(Why.TIME, f"no state came back within {tick} ticks")
        return Stopped(Why.SIZE, f"no state came back within {tick} ticks")


def _to_rest(at: Position) -> int:
    """Return ticks after which clocks that nobody reads any more stand at 0 too."""
    return 1 + max(at[1], default=0)
