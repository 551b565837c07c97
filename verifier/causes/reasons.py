"""Why something is so in a run, one step back: the facts that were enough to make it so.

A fact is justified by as few of the things read as settle it, whatever the others were; among
several that would do, the one that has stood longest. Kept values look back to the tick before
they changed, timers to the tick in which they were started.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from verifier.causes.facts import Fact, Kind
from verifier.causes.possible import OPEN, Bounds, Leaf, Look, condition, leaves, may_be
from verifier.design.model import Case, Choice, Cond, Fixed, Flag, Net, Number, Term, Timer
from verifier.simulate.readings import Readings
from verifier.system.expr import Op
from verifier.system.model import System

Settles = Callable[[Look], bool]
Items = Net | Timer


@dataclass(frozen=True, slots=True)
class Reasons:
    """What can be asked of one run; all values come from its readings."""

    system: System
    readings: Readings
    nets: dict[str, Net] = field(init=False)
    timers: dict[str, Timer] = field(init=False)
    cases: dict[Net, tuple[Case, ...]] = field(init=False)
    starts: dict[Net, int] = field(init=False)
    fixed: frozenset[Net] = field(init=False)
    known: dict[Fact, tuple[Fact, ...]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Put what is declared where it is found by name."""
        design = self.system.design
        put = object.__setattr__
        put(self, "nets", {net.path: net for net in design.nets})
        put(self, "timers", {timer.path: timer for timer in design.timers})
        put(self, "cases", {kept.net: kept.cases for kept in design.kept})
        put(self, "starts", {kept.net: kept.start for kept in design.kept})
        put(self, "fixed", frozenset(net for net in design.nets if self._is_fixed(net)))

    def _is_fixed(self, net: Net) -> bool:
        """Whether a net has one value in all runs, as far as can be seen."""
        return all(node.op is Op.CONST for node in self.system.shown[net.path].nodes)

    # --- values -----------------------------------------------------------------------------------

    def value(self, leaf: Leaf) -> int:
        """Return what a leaf reads: for a timer whether it shows more than the bound."""
        match leaf.item:
            case Net():
                return self.readings.at(leaf.item.path, leaf.tick)
            case Timer():
                return int(self.readings.left(leaf.item.path, leaf.tick) > leaf.bound)

    def look(self, leaf: Leaf) -> Bounds:
        """Return the value of a leaf as bounds."""
        value = self.value(leaf)
        return value, value

    def holds(self, term: Cond, tick: int) -> bool:
        """Whether a condition holds at a tick."""
        return condition(term, tick, self.look) == (1, 1)

    def at(self, path: str, tick: int) -> Fact:
        """Return the fact of a net, or of a timer (whether it runs), at any moment of the run."""
        return self.fact(Leaf(self.nets.get(path) or self.timers[path], tick))

    def fact(self, leaf: Leaf) -> Fact:
        """Return what a leaf reads as a fact."""
        item, tick = leaf.item, leaf.tick
        match item:
            case Net():
                since, until = self._stretch(item.path, tick)
                return Fact(Kind.VALUE, item.path, tick, since, until, self.value(leaf))
            case Timer():
                return self._timer_fact(item, tick, leaf.bound)

    def _stretch(self, path: str, tick: int) -> tuple[int, int]:
        changes = self.readings.changes[path]
        place = bisect_right(changes, tick, key=lambda change: change[0])
        until = changes[place][0] if place < len(changes) else self.readings.length
        return changes[place - 1][0], until

    def _timer_fact(self, timer: Timer, tick: int, bound: int) -> Fact:
        above = self.readings.left(timer.path, tick) > bound
        crossings = self._crossings(timer, bound)
        place = bisect_right(crossings, tick)
        since = crossings[place - 1] if place else 0
        until = crossings[place] if place < len(crossings) else self.readings.length
        value = self.readings.left(timer.path, tick)
        return Fact(Kind.RUNS if above else Kind.OVER, timer.path, tick, since, until, value, bound)

    def _crossings(self, timer: Timer, bound: int) -> list[int]:
        """Return the ticks after tick 0 at which a timer gets above the bound, or no more so."""
        shown = self.readings.timers[timer.path]
        ends = [*(one.tick for one in shown[1:]), self.readings.length]
        found: list[int] = []
        before: bool | None = None
        for one, end in zip(shown, ends, strict=True):
            if before is not None and (one.left > bound) is not before:
                found.append(one.tick)
            before = one.left > bound
            gone = one.tick + one.left - bound
            if one.falls and before and gone < end:
                found.append(gone)
                before = False
        return found

    # --- one step back ----------------------------------------------------------------------------

    def behind(self, fact: Fact) -> tuple[Fact, ...]:
        """Return the facts that made this one so; none for people, and for what always was so."""
        found = self.known.get(fact)
        if found is None:
            found = self.known[fact] = tuple(self._behind(fact))
        return found

    def _behind(self, fact: Fact) -> Iterable[Fact]:
        if fact.kind is Kind.STARTED:
            timer = self.timers[fact.path]
            return self.taken(_loads(timer), fact.tick)
        if fact.kind is not Kind.VALUE:
            return self._timer(fact)
        net = self.nets[fact.path]
        if net.term is not None:
            return self.settled(net.term, fact.tick)
        if net in self.cases and fact.since > 0:
            return self.taken(self.cases[net], fact.since - 1)
        return ()

    def _timer(self, fact: Fact) -> Iterable[Fact]:
        timer = self.timers[fact.path]
        tick = self._loaded(timer, fact.tick)
        if tick is None:
            return
        value = self.readings.left(timer.path, tick + 1)
        until = self.readings.length
        yield Fact(Kind.STARTED, timer.path, tick, tick, until, value)

    def _loaded(self, timer: Timer, tick: int) -> int | None:
        """Return the last tick before this one in which a timer was loaded."""
        shown = self.readings.timers[timer.path]
        place = bisect_left(shown, tick + 1, key=lambda one: one.tick)
        wanted = [tick - 1, *(one.tick - 1 for one in reversed(shown[:place]))]
        for before in wanted:
            if before >= 0 and any(self.holds(load.condition, before) for load in timer.loads):
                return before
        return None

    def settled(self, term: Term, tick: int) -> list[Fact]:
        """Return the few facts that settle a term at a tick."""
        return self._fewest(list(leaves(term, tick)), lambda look: _one(may_be(term, tick, look)))

    def taken(self, cases: Sequence[Case], tick: int) -> list[Fact]:
        """Return the facts that settle which of the cases is taken at a tick, and what it gives."""
        read: list[Leaf] = []
        for case in cases:
            read.extend(leaves(case.condition, tick))
            read.extend(leaves(case.value, tick))
        return self._fewest(read, lambda look: _one(_taken(cases, tick, look)))

    def leaves_range(self, shape: Number, cases: Sequence[Case], tick: int) -> bool:
        """Whether the case taken at a tick gives a number outside a range."""
        low, high = _taken(cases, tick, self.look)
        none = not any(self.holds(case.condition, tick) for case in cases)
        return not none and not shape.low <= low <= high <= shape.high

    def _fewest(self, read: Sequence[Leaf], settles: Settles) -> list[Fact]:
        """Leave out what is not needed, what came last first; what never changes is no cause."""
        facts = {leaf: self.fact(leaf) for leaf in dict.fromkeys(read)}
        given = {leaf for leaf in facts if leaf.item in self.fixed}
        needed = [leaf for leaf in facts if leaf not in given]
        for leaf in sorted(needed, key=lambda one: -facts[one].since):
            fewer = [one for one in needed if one is not leaf]
            if settles(self._knowing(given.union(fewer))):
                needed = fewer
        return [facts[leaf] for leaf in needed]

    def _knowing(self, known: set[Leaf]) -> Look:
        def look(leaf: Leaf) -> Bounds:
            if leaf in known:
                return self.look(leaf)
            return _all_of(leaf.item)

        return look

    # --- stretches --------------------------------------------------------------------------------

    def began(self, term: Cond, tick: int) -> int:
        """Return since when a condition has been as it is at a tick."""
        live = self.holds(term, tick)
        for start in sorted(self.moments(term, tick), reverse=True):
            if self.holds(term, start - 1) is not live:
                return start
        return 0

    def moments(self, term: Term, tick: int) -> set[int]:
        """Return the ticks after tick 0, up to this one, at which a term may change."""
        found: set[int] = set()
        for leaf in leaves(term, max(tick, 1)):
            if isinstance(leaf.item, Timer):
                changes = self._crossings(leaf.item, leaf.bound)
            else:
                changes = [at for at, _ in self.readings.changes[leaf.item.path]]
            found.update(at + late for at in changes for late in (0, 1))
        return {at for at in found if 0 < at <= tick}

    def throughout(self, term: Cond, first: int, last: int) -> list[Fact]:
        """Return facts that settle a condition at each tick of a stretch, those of its end first.

        Where one reason hands over to another, both are told.
        """
        found: list[Fact] = []
        at = last
        while True:
            facts = self.settled(term, at)
            found.extend(facts)
            start = max((fact.since for fact in facts), default=0)
            if start <= first:
                return found
            at = min(start, at) - 1


def _one(bounds: Bounds) -> bool:
    return bounds[0] == bounds[1]


def _all_of(item: Items) -> Bounds:
    """Return all that an item may be."""
    if isinstance(item, Timer):
        return OPEN
    match item.shape:
        case Flag():
            return OPEN
        case Number(low, high):
            return low, high
        case Choice(options):
            return 0, len(options) - 1


def _loads(timer: Timer) -> tuple[Case, ...]:
    """Return the loads of a timer as cases: which of them is taken is all that counts."""
    return tuple(
        Case(Fixed(number), load.condition) for number, load in enumerate(timer.loads, start=1)
    )


def _taken(cases: Sequence[Case], tick: int, look: Look) -> Bounds:
    """Return what the first case that holds may give; -1: none may hold."""
    low, high = None, None
    for case in cases:
        holds = condition(case.condition, tick, look)
        if holds == (0, 0):
            continue
        one, two = may_be(case.value, tick, look)
        low = one if low is None else min(low, one)
        high = two if high is None else max(high, two)
        if holds == (1, 1):
            return low, high
    return min(-1, -1 if low is None else low), -1 if high is None else high
