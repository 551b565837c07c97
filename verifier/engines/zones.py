"""Zone exploration of a whole cone: proofs for ever of claims about timers."""

from dataclasses import dataclass

from verifier.engines.contract import Asked, Budget, Task
from verifier.engines.zones_frame import Kept, framed
from verifier.engines.zones_proof import invariant
from verifier.engines.zones_search import Covered, Met, Search, Setting
from verifier.verdict.evidence import Evidence, Invariant, Stopped, Why

COARSE_TO_FINE = (
    Setting(zones=1, patience=8, loose=True),
    Setting(zones=4, patience=None, loose=False),
    Setting(zones=None, patience=None, loose=False),
)
UNSUITED = Stopped(Why.NOT_SUITED, "zones prove only that a target is never met")
MET = Stopped(Why.NOTHING, "zones meet the target even in their finest search: look for a run")
SUITED = (Asked.BAD, Asked.GOAL, Asked.TRIGGER)


@dataclass(frozen=True, slots=True)
class Zones:
    """Explores registers and clock regions, clocks as convex sets; coarse first, then finer."""

    most: int = 20_000
    name: str = "zones"
    description: str = "proves timer claims for ever; its cost does not hang on the tick"

    def run(self, task: Task, budget: Budget) -> Evidence | Stopped:
        """Return an invariant, or say how far the search came."""
        if task.asked not in SUITED:
            return UNSUITED
        anywhere = task.question.anywhere
        frame = framed(task.cone, task.target, Kept.all_of(task.cone), anywhere=anywhere)
        for setting in COARSE_TO_FINE:
            match Search(frame, setting, budget).run(anywhere=anywhere, most=self.most):
                case Covered(keys):
                    return Invariant(invariant(frame, keys))
                case Stopped() as stopped:
                    return stopped
                case Met():
                    pass
        return MET
