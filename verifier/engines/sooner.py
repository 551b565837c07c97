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

    Where zones do not settle it, the judge tries up to `most` ways of a tick one by one.
    """
    found = by_zones(task, last, budget, limits)
    return by_trying(task, last, most) if found is None else found


def by_zones(task: Task, last: int, budget: Budget, limits: Limits) -> Ruling | None:
    """Return the judge's word on what zones find, None where they find nothing.

    They look at the system with a clock that tells its age: that takes as long at any tick.
    """
    if last < 0:
        return SOUND
    anywhere = task.question.anywhere
    variant = before(task.cone.system, task.target, last)
    shown = shown_never(task, variant.system, variant.target, budget, anywhere=anywhere)
    if isinstance(shown, Invariant):
        proved = judge(Case(variant.system, variant.target, anywhere), shown, limits).ruling
        return proved if proved.sound else None
    return unsure("zones meet it sooner") if shown == MET else None


def by_trying(task: Task, last: int, most: int = QUICKLY) -> Ruling:
    """Return the judge's word once it has tried the ways of a tick one by one, `most` of them.

    Where the run known is the soonest there is, each tick before its last has a state of its own.
    """
    if task.question.anywhere or explored.ways(task.cone) * (last + 1) > most:
        return unsure("no proof was found that none is sooner")
    return explored.none_by(task.cone, task.target, last, most)
