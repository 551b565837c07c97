"""Is it sure that nothing happens so soon? Only where the judge says so."""

from verifier.engines.contract import Budget, Task
from verifier.engines.ways import shown_never
from verifier.engines.zones import MET
from verifier.logic.judge import Case, judge
from verifier.logic.tick import Limits
from verifier.verdict import explored
from verifier.verdict.evidence import Invariant
from verifier.verdict.ruling import SOUND, Ruling, unsure
from verifier.verdict.variant import before

QUICKLY = 30_000
"""So many ways of a tick are tried where zones find no proof: a tenth of a second."""


def none_by(task: Task, last: int, budget: Budget, limits: Limits, most: int = QUICKLY) -> Ruling:
    """Return whether no run meets the target of a task at a tick 0 .. `last`.

    Zones may prove it of the system with a clock that tells its age, and the judge looks at that:
    it takes as long at any tick. Else the judge tries up to `most` ways of a tick one by one.
    """
    if last < 0:
        return SOUND
    anywhere = task.question.anywhere
    variant = before(task.cone.system, task.target, last)
    shown = shown_never(task, variant.system, variant.target, budget, anywhere=anywhere)
    if isinstance(shown, Invariant):
        proved = judge(Case(variant.system, variant.target, anywhere), shown, limits).ruling
        if proved.sound:
            return proved
    if anywhere or shown == MET:
        return unsure("no proof was found that none is sooner")
    return explored.none_by(task.cone, task.target, last, most)
