"""Is it sure that nothing happens so soon? Only where the judge says so."""

from verifier.engines.contract import Budget, Task
from verifier.engines.ways import proof_of_never
from verifier.logic.judge import Case, judge
from verifier.logic.tick import Limits
from verifier.verdict import explored
from verifier.verdict.evidence import Invariant
from verifier.verdict.ruling import SOUND, Ruling, unsure
from verifier.verdict.variant import before

QUICKLY = 30_000
"""So many ways of a tick are tried first: less work than any proof, where ticks are coarse."""


def none_by(task: Task, last: int, budget: Budget, limits: Limits, most: int = QUICKLY) -> Ruling:
    """Return whether no run meets the target of a task at a tick 0 .. `last`.

    Where that takes no more than `most` ways of a tick the judge tries them all; else zones may
    prove it of the system with a clock that tells its age, and the judge looks at that.
    """
    anywhere = task.question.anywhere
    if last < 0:
        return SOUND
    if not anywhere:
        tried = explored.none_by(task.cone, task.target, last, most)
        if tried.sound:
            return tried
    variant = before(task.cone.system, task.target, last)
    node = proof_of_never(task, variant.system, variant.target, budget, anywhere=anywhere)
    if node is None:
        return unsure("no proof was found that none is sooner")
    sooner = Case(variant.system, variant.target, anywhere)
    return judge(sooner, Invariant(node), limits).ruling
