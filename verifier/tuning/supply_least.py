"""The least supply with which every claim holds, amount by amount: more is not always better.

Nothing is concluded from one amount about another. All amounts below the present one are tried, and
above it as far as one serves; so "the least" means that each smaller one was shown to fail. Below a
large amount they are tried from 0 up to the first that serves, and if none of many does, down from
the large one.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from verifier.tuning.supply import Bench, Knob, Tried, gets_part

MOST = 64
"""So many amounts are tried on each side of the present one."""


@dataclass(frozen=True, slots=True)
class Least:
    """What was found for one amount, everything else as it stands.

    `tried` goes from the smallest amount to the largest. `left_out` are claims that fail with the
    present amount, while with each larger one that was tried (`above`) some claim fails too;
    `unsettled` are those not known with the present amount. The others must hold. `refuted` is one
    unit less than the least, with a run where a claim fails by one.
    """

    knob: Knob
    tried: tuple[Tried, ...]
    left_out: tuple[str, ...]
    unsettled: tuple[str, ...]
    above: tuple[Tried, ...]
    refuted: Tried | None

    @property
    def parts_left_out(self) -> tuple[str, ...]:
        """The parts of which it is not asked that they can get their units."""
        found = (gets_part(name) for name in (*self.left_out, *self.unsettled))
        return tuple(part for part in found if part is not None)

    @property
    def claims_left_out(self) -> tuple[str, ...]:
        """The design's own claims that are not asked."""
        names = (*self.left_out, *self.unsettled)
        return tuple(name for name in names if gets_part(name) is None)

    @property
    def value(self) -> int | None:
        """The smallest amount with which all claims that are asked hold, None if there is none."""
        return next((one.value for one in self.tried if one.holds), None)

    @property
    def below(self) -> tuple[Tried, ...]:
        """What was tried below that."""
        best = self.value
        return tuple(one for one in self.tried if best is None or one.value < best)

    @property
    def shown(self) -> bool:
        """Whether every smaller amount down to 0 was shown to fail."""
        below, best = self.below, self.value
        all_ = range(len(below) if best is None else best)
        return [one.value for one in below] == list(all_) and all(
            one.holds is False for one in below
        )

    @property
    def untried(self) -> tuple[range, ...]:
        """The amounts between 0 and the largest tried that were not tried."""
        values = [-1, *(one.value for one in self.tried)]
        gaps = (range(one + 1, other) for one, other in pairwise(values))
        return tuple(gap for gap in gaps if gap)

    @property
    def holes(self) -> tuple[Tried, ...]:
        """Larger amounts with which a claim fails, or is not known to hold."""
        best = self.value
        return tuple(
            one for one in self.tried if best is not None and one.value > best and not one.holds
        )


def least_of(bench: Bench, knob: Knob, most_draw: int) -> Least:
    """Return the least amount for a knob; `most_draw`: what all parts draw that get their units.

    No amount further above the present one than that is tried.
    """
    fails, unsettled = bench.standing()
    upward: list[Tried] = []
    if fails:
        for value in range(knob.now + 1, knob.now + min(MOST, max(most_draw, 1)) + 1):
            upward.append(bench.tried(value, {knob: value}, unsettled))
            if upward[-1].holds:
                now = bench.tried(knob.now, {knob: knob.now}, unsettled)
                row = [now, *upward, *_below(bench, knob, unsettled)]
                return _sorted(bench, row, Least(knob, (), (), unsettled, (), None))
    left_out = (*fails, *unsettled)
    now = bench.tried(knob.now, {knob: knob.now}, left_out)
    row = [now, *_below(bench, knob, left_out)]
    return _sorted(bench, row, Least(knob, (), fails, unsettled, tuple(upward), None))


def _below(bench: Bench, knob: Knob, left_out: tuple[str, ...]) -> Iterator[Tried]:
    """Yield what comes of amounts below the present one."""
    if knob.now > MOST:
        for value in range(MOST):
            upward = bench.tried(value, {knob: value}, left_out)
            yield upward
            if upward.holds:
                return
    for value in range(knob.now - 1, max(-1, knob.now - MOST - 1), -1):
        if value >= MOST or knob.now <= MOST:
            yield bench.tried(value, {knob: value}, left_out)


def _sorted(bench: Bench, tried: Iterable[Tried], found: Least) -> Least:
    """Put what was tried in order, and look for a run against one unit less than the least."""
    row = tuple(sorted(tried, key=lambda one: one.value))
    best = next((one.value for one in row if one.holds), 0)
    refuted = None
    if best and any(one.value == best - 1 for one in row):
        left_out = (*found.left_out, *found.unsettled)
        refuted = bench.tried(best - 1, {found.knob: best - 1}, left_out, with_run=True)
    return replace(found, tried=row, refuted=refuted)
