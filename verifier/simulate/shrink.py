"""Making a run that meets its target short: fewer ticks, then fewer presses, then shorter ones.

Each step changes the plan a little and plays it again; it is kept if the run still meets the target
and costs less. This is the delta debugging of A. Zeller, R. Hildebrandt, "Simplifying and isolating
failure-inducing input", IEEE TSE 28(2), 2002, with the changes that make sense for presses.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import takewhile

from verifier.simulate.machine import Machine, Position
from verifier.simulate.presses import Draw, Plan, Press, Stretch, plan_of, play

FEW = 32  # stretches of which any number is cut out, so that a round of a loop is among them
NEAR = 3  # ticks by which presses are moved for their own sake


@dataclass(slots=True, eq=False)
class Shrinker:
    """The best run so far, and how much may still be spent on a better one.

    `pay` books the looks of one try and returns whether another may follow.
    """

    machine: Machine
    start: Position
    pay: Callable[[float], bool]
    best: Plan
    run: tuple[Stretch, ...]
    paid: bool = True

    def may(self, plan: Plan) -> bool:
        """Whether another plan may be tried."""
        del plan
        return self.paid

    def tries(self, plan: Plan) -> bool:
        """Play a plan; keep it if it meets the target at less cost."""
        if not self.paid or not plan.cost < self.best.cost:
            return False
        run = play(self.machine, plan, self.start)
        self.paid = self.pay(self.machine.effort * (8 + len(self.run)))
        if run is None:
            return False
        short = _clipped(plan, sum(stretch.ticks for stretch in run))
        if not short.cost < self.best.cost:
            return False
        self.best, self.run = short, run
        return True


def shrink(
    machine: Machine,
    run: tuple[Stretch, ...],
    start: Position,
    pay: Callable[[float], bool],
    *,
    soonest: bool = False,
) -> tuple[Stretch, ...]:
    """Return a run from the same start that meets the target too, as short as was found.

    `soonest`: it is known that none meets it sooner, so that no time is to be gained.
    """
    shrinker = Shrinker(machine, start, pay, plan_of(run), run)
    sparing = (_dropped, _trimmed, _joined, _plain)
    changes = sparing if soonest else (_dropped, _cut, _trimmed, _joined, _moved, _plain)
    better = bool(shrinker.best.presses or shrinker.best.draws)
    while better and shrinker.paid:
        before = shrinker.best.cost
        for change in changes:
            _exhaust(shrinker, change)
        better = shrinker.best.cost < before
    return shrinker.run


def _exhaust(shrinker: Shrinker, change: Callable[[Shrinker], Iterator[Plan]]) -> None:
    """Try all plans that a change offers; after each gain it offers anew, up to a bound."""
    for _ in range(8 + 2 * len(shrinker.best.presses)):
        if not any(shrinker.tries(plan) for plan in takewhile(shrinker.may, change(shrinker))):
            return


def _dropped(shrinker: Shrinker) -> Iterator[Plan]:
    """Leave out presses: all, halves, then single ones, the last first."""
    plan = shrinker.best
    size = len(plan.presses)
    while size:
        for start in range(len(plan.presses) - size, -1, -max(1, size)):
            kept = plan.presses[:start] + plan.presses[start + size :]
            yield replace(plan, presses=kept)
        size //= 2


def _cut(shrinker: Shrinker) -> Iterator[Plan]:
    """Cut out time: blocks of stretches, then parts of single stretches, the largest first."""
    plan, run = shrinker.best, shrinker.run
    starts = [0]
    for stretch in run:
        starts.append(starts[-1] + stretch.ticks)
    for size in _sizes(len(run)):
        for first in range(len(run) - size):
            yield _without(plan, starts[first], starts[first + size])
    for first, stretch in enumerate(run):
        ticks = stretch.ticks - 1
        while ticks:
            yield _without(plan, starts[first], starts[first] + ticks)
            ticks //= 2


def _sizes(count: int) -> Iterable[int]:
    """Return how many stretches to cut out at once: all numbers of a few, halves of many."""
    if count <= FEW:
        return range(count - 1, 0, -1)
    return (count >> by for by in range(1, count.bit_length()))


def _trimmed(shrinker: Shrinker) -> Iterator[Plan]:
    """Shorten single presses at either end, the most first."""
    plan = shrinker.best
    for index, press in enumerate(plan.presses):
        ticks = press.stop - press.start - 1
        while ticks:
            yield _with(plan, index, replace(press, stop=press.stop - ticks))
            yield _with(plan, index, replace(press, start=press.start + ticks))
            ticks //= 2


def _joined(shrinker: Shrinker) -> Iterator[Plan]:
    """Make one press of two of the same choice that follow each other."""
    plan = shrinker.best
    for index, press in enumerate(plan.presses):
        later = [
            place
            for place in range(index + 1, len(plan.presses))
            if plan.presses[place].choice == press.choice
        ]
        if later and plan.presses[later[0]].option == press.option:
            whole = replace(press, stop=plan.presses[later[0]].stop)
            presses = [*plan.presses[: later[0]], *plan.presses[later[0] + 1 :]]
            presses[index] = whole
            yield replace(plan, presses=tuple(presses))


def _moved(shrinker: Shrinker) -> Iterator[Plan]:
    """Move single presses: to where another begins, and a little to either side."""
    plan = shrinker.best
    moments = sorted({0, *(press.start for press in plan.presses)})
    for index, press in enumerate(plan.presses):
        nearby = [press.start + by for by in range(-NEAR, NEAR + 1) if by]
        for start in [*moments, *nearby]:
            if 0 <= start != press.start:
                stop = press.stop - press.start + start
                yield _with(plan, index, replace(press, start=start, stop=stop), spare=1)
    for index, press in enumerate(plan.presses):
        by = press.start // 2
        while by:
            moved = replace(press, start=press.start - by, stop=press.stop - by)
            yield _with(plan, index, moved, spare=1)
            by //= 2


def _plain(shrinker: Shrinker) -> Iterator[Plan]:
    """Draw less: leave out draws (the shortest span is then drawn)."""
    plan = shrinker.best
    for index in range(len(plan.draws) - 1, -1, -1):
        yield replace(plan, draws=plan.draws[:index] + plan.draws[index + 1 :])


def _with(plan: Plan, index: int, press: Press, *, spare: int = 0) -> Plan:
    """Put another press in place of one; overlaps of one choice are cut away.

    With `spare` the plan is made one tick shorter, for changes that serve only to gain time.
    """
    others = [
        other
        for place, other in enumerate(plan.presses)
        if place != index
        and not (
            other.choice == press.choice and other.start <= press.stop and press.start <= other.stop
        )
    ]
    return Plan(plan.length - spare, tuple(sorted([*others, press])), plan.draws)


def _without(plan: Plan, first: int, last: int) -> Plan:
    """Cut the ticks `first` .. `last` - 1 out of a plan."""

    def moved(tick: int) -> int:
        return tick if tick <= first else max(first, tick - (last - first))

    presses = (
        replace(press, start=moved(press.start), stop=moved(press.stop)) for press in plan.presses
    )
    draws = {(moved(draw.at), draw.clock): draw.value for draw in plan.draws}
    return _tidy(plan.length - (last - first), presses, draws)


def _clipped(plan: Plan, length: int) -> Plan:
    presses = (replace(press, stop=min(press.stop, length)) for press in plan.presses)
    draws = {(draw.at, draw.clock): draw.value for draw in plan.draws if draw.at < length}
    return _tidy(length, presses, draws)


def _tidy(length: int, presses: Iterator[Press], draws: dict[tuple[int, int], int]) -> Plan:
    """Drop what is empty, join presses that touch."""
    kept: list[Press] = []
    for press in sorted(presses, key=lambda one: (one.choice, one.start)):
        last = kept[-1] if kept else None
        if press.start >= press.stop or press.start >= length:
            continue
        same = last is not None and (last.choice, last.option) == (press.choice, press.option)
        if last is not None and same and last.stop >= press.start:
            kept[-1] = replace(last, stop=max(last.stop, press.stop))
        else:
            kept.append(press)
    made = tuple(Draw(at, clock, value) for (at, clock), value in sorted(draws.items()))
    return Plan(length, tuple(sorted(kept)), made)
