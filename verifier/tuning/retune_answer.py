"""The whole answer to "how must it be set": values that serve, or why there are none."""

from collections.abc import Sequence
from dataclasses import dataclass

from verifier.tuning.clash import Clash, clash
from verifier.tuning.dials import Setting, stand
from verifier.tuning.dials_rig import Rig
from verifier.tuning.retune import Answered, Found, Goal, Search
from verifier.verdict.answer import Emptiness, Outcome, Verdict


@dataclass(frozen=True, slots=True)
class Retuned:
    """What came of retuning a rig for some claims.

    `before` are the answers at `stands`, where the dials stand now. `idle` are claims that hold at
    the values found only because what they speak of no longer happens. `none_by` are the solvers
    that find that nothing is left where nothing serves, `clash` the claims that stand against each
    other then. `regions` and `points` say how settings were ruled out: by the shape of a run or a
    proof for a whole box, or one at a time.
    """

    rig: Rig
    goal: Goal
    stands: Setting
    before: tuple[Answered, ...]
    found: Found
    idle: tuple[str, ...]
    none_by: tuple[str, ...]
    clash: Clash | None
    regions: int
    points: int
    calls: int

    @property
    def size(self) -> int:
        """How many settings there are in all."""
        total = 1
        for dial in self.rig.dials:
            total *= dial.size
        return total

    @property
    def none(self) -> bool:
        """Whether it is known that no setting serves."""
        found = self.found
        return found.at is None and found.closed and not found.unsure and bool(self.none_by)


def retuned(search: Search, claims: Sequence[str], goal: Goal) -> Retuned:
    """Return the answer for some claims, at the best setting by a goal."""
    rig = search.rig
    stands = stand(rig.dials)
    before = tuple(Answered(name, rig.decide(stands, name)) for name in claims)
    found = search.find(claims, goal)
    none_by: tuple[str, ...] = ()
    stuck: Clash | None = None
    ruled = [one for regions in search.regions.values() for one in regions]
    if found.at is None and found.closed and not found.unsure:
        none_by = search.none_by(claims)
        stuck = clash(search, claims)
    wide = sum(one.low != one.high for one in ruled)
    idle = _idle(before, found.answers)
    points = len(ruled) - wide
    return Retuned(rig, goal, stands, before, found, idle, none_by, stuck, wide, points, rig.calls)


def _idle(before: Sequence[Answered], after: Sequence[Answered]) -> tuple[str, ...]:
    """Return claims that were put to the test before, and no longer are."""
    tested = {one.claim for one in before if _tested(one.outcome)}
    return tuple(one.claim for one in after if one.claim in tested and not _tested(one.outcome))


def _tested(outcome: Outcome) -> bool:
    return outcome.verdict is Verdict.FAILS or outcome.empty is not Emptiness.NEVER
