"""Which values a net can ever show: least and most of numbers, conditions that never hold.

Abstract interpretation (Cousot and Cousot 1977) on three small domains: the truths a condition can
take, the interval of a number, the options a choice can stand at. Kept state starts at its start
value and is joined with all that it may become until nothing changes.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product
from typing import assert_never, cast

from verifier.design.loops import walk
from verifier.design.model import (
    Above,
    Add,
    And,
    Choice,
    Compare,
    Cond,
    CondIf,
    Edge,
    Fixed,
    Flag,
    Fold,
    Free,
    HowMany,
    Kept,
    Live,
    Net,
    Not,
    Num,
    Number,
    NumIf,
    Option,
    Or,
    Pick,
    Picked,
    PickIf,
    Read,
    ReadPick,
    Relation,
    Role,
    Running,
    Scaled,
    Subtract,
    Term,
    Timer,
    Truth,
)

Values = frozenset[int]
"""Truths (0, 1) or options that are possible."""

Interval = tuple[int, int]
Lazy = Callable[[], Values]

_BOTH: Values = frozenset((0, 1))
_PATIENCE = 40
"""After so many rounds what still moves is taken to take any value."""

_MOST_CASES = 4096


@dataclass(slots=True)
class Ranges:
    """What each net and timer can show, as far as is known; filled net by net, in order."""

    sets: dict[Net, Values] = field(default_factory=dict)
    intervals: dict[Net, Interval] = field(default_factory=dict)
    longest: dict[Timer, int] = field(default_factory=dict)
    expand: bool = False

    def truth(self, term: Cond) -> Values:  # noqa: C901 - one case a node
        """Return the truths that a condition can take."""
        match term:
            case Truth(value):
                return frozenset((int(value),))
            case Live(net):
                return self._set_of(net)
            case Not(inner):
                return frozenset(1 - one for one in self.truth(inner))
            case And(parts):
                return _joined([self.truth(part) for part in parts], stop=0)
            case Or(parts):
                return _joined([self.truth(part) for part in parts], stop=1)
            case CondIf(condition, then, other):
                ways = self.truth(condition)
                return _either(ways, lambda: self.truth(then), lambda: self.truth(other))
            case Compare(relation, left, right):
                return _compared(relation, self.interval(left), self.interval(right))
            case Picked(pick, option):
                options = self.options(pick)
                return frozenset(int(one == option) for one in options)
            case Above(timer, ticks):
                return _BOTH if self.longest.get(timer, ticks + 1) > ticks else frozenset((0,))
            case Running(timer):
                return self.truth(timer.runs)
            case Edge(inner, rising):
                truths = self.truth(inner)
                happens = 1 in truths if rising else truths == _BOTH
                return _BOTH if happens else frozenset((0,))
            case _:
                assert_never(term)

    def interval(self, term: Num) -> Interval:
        """Return the least and the most that a number can be."""
        match term:
            case Fixed(value):
                return value, value
            case Read(net):
                return self._interval_of(net)
            case Add(left, right):
                (low, high), (least, most) = self.interval(left), self.interval(right)
                return low + least, high + most
            case Subtract(left, right):
                (low, high), (least, most) = self.interval(left), self.interval(right)
                return low - most, high - least
            case Scaled(fold, inner, by):
                return scaled(fold, self.interval(inner), by)
            case NumIf(condition, then, other):
                ways = self.truth(condition)
                found = [self.interval(then)] if 1 in ways else []
                found += [self.interval(other)] if 0 in ways else []
                return min(low for low, _ in found), max(high for _, high in found)
            case HowMany(parts):
                truths = [self.truth(part) for part in parts]
                sure = sum(one == frozenset((1,)) for one in truths)
                return sure, sum(1 in one for one in truths)
            case _:
                assert_never(term)

    def options(self, term: Pick) -> Values:
        """Return the options that a choice can stand at."""
        match term:
            case Option(option):
                return frozenset((option,))
            case ReadPick(net):
                return self._set_of(net)
            case PickIf(condition, then, other):
                ways = self.truth(condition)
                return _either(ways, lambda: self.options(then), lambda: self.options(other))
            case _:
                assert_never(term)

    def _set_of(self, net: Net) -> Values:
        if net not in self.sets:
            if self.expand and net.term is not None and net.role is not Role.IN:
                self.learn(net)
            else:
                count = len(net.shape.options) if isinstance(net.shape, Choice) else 2
                return frozenset(range(count))
        return self.sets[net]

    def _interval_of(self, net: Net) -> Interval:
        if net not in self.intervals:
            self.learn(net)
        return self.intervals[net]

    def learn(self, net: Net) -> None:
        """Work out a net from its term."""
        term = net.term
        assert term is not None, net
        match net.shape:
            case Flag():
                self.sets[net] = self.truth(cast("Cond", term))
            case Number():
                low, high = self.interval(cast("Num", term))
                self.intervals[net] = (max(0, low), high) if net.power else (low, high)
            case Choice():
                self.sets[net] = self.options(cast("Pick", term))


def _joined(truths: Sequence[Values], stop: int) -> Values:
    """Combine for And (stop 0) or Or (stop 1): `stop` wins over the rest."""
    if any(one == frozenset((stop,)) for one in truths):
        return frozenset((stop,))
    can_stop = any(stop in one for one in truths)
    can_go = all(1 - stop in one for one in truths)
    found = ([stop] if can_stop else []) + ([1 - stop] if can_go else [])
    return frozenset(found)


def _either(ways: Values, then: Lazy, other: Lazy) -> Values:
    found = then() if 1 in ways else frozenset()
    return found | other() if 0 in ways else found


def _compared(relation: Relation, left: Interval, right: Interval) -> Values:
    (low, high), (least, most) = left, right
    match relation:
        case Relation.LESS:
            can, must = low < most, high < least
        case Relation.LESS_EQUAL:
            can, must = low <= most, high <= least
        case _:
            can, must = low <= most and least <= high, low == high == least == most
    return frozenset((1,)) if must else _BOTH if can else frozenset((0,))


def scaled(fold: Fold, inner: Interval, by: int) -> Interval:
    """Return what a number in an interval is times, divided by or modulo a fixed number."""
    low, high = inner
    match fold:
        case Fold.TIMES:
            return min(low * by, high * by), max(low * by, high * by)
        case Fold.DIV:
            return low // by, high // by
        case Fold.MOD:
            return (low % by, high % by) if low // by == high // by else (0, by - 1)


def of_design(
    order: Sequence[Net],
    kept: Sequence[Kept],
    free: Sequence[Free],
    timers: Sequence[Timer],
    *,
    anywhere: bool,
) -> Ranges:
    """Return what every net can show in any run; `order` has each net after all it needs.

    From `anywhere` runs start with any kept values, else as the design says.
    """
    state = {one.net: _any(one.net) if anywhere else _start(one) for one in kept}
    longest = {timer: timer.longest if anywhere else timer.start for timer in timers}
    round_ = 0
    while True:
        ranges = Ranges(longest=dict(longest))
        for one in free:
            _set(ranges, one.net, _any(one.net))
        for net, value in state.items():
            _set(ranges, net, value)
        for net in order:
            if net.term is not None:
                ranges.learn(net)
        new_state, new_longest = _next(ranges, kept, timers, state, longest, round_=round_)
        if new_state == state and new_longest == longest:
            return ranges
        state, longest = new_state, new_longest
        round_ += 1
        if round_ == _PATIENCE:
            state = {one.net: _any(one.net) for one in kept}
            longest = {timer: timer.longest for timer in timers}


def _start(one: Kept) -> Values | Interval:
    if isinstance(one.net.shape, Number):
        return one.start, one.start
    return frozenset((one.start,))


def _any(net: Net) -> Values | Interval:
    match net.shape:
        case Flag():
            return _BOTH
        case Number(low, high):
            return low, high
        case Choice(options):
            return frozenset(range(len(options)))


def _set(ranges: Ranges, net: Net, value: Values | Interval) -> None:
    if isinstance(value, tuple):
        ranges.intervals[net] = value
    else:
        ranges.sets[net] = value


def _next(
    ranges: Ranges,
    kept: Sequence[Kept],
    timers: Sequence[Timer],
    state: Mapping[Net, Values | Interval],
    longest: Mapping[Timer, int],
    *,
    round_: int,
) -> tuple[dict[Net, Values | Interval], dict[Timer, int]]:
    new_state = {one.net: _become(ranges, one, state[one.net], round_) for one in kept}
    new_longest = dict(longest)
    for timer in timers:
        for load in timer.loads:
            if 1 in ranges.truth(load.condition):
                new_longest[timer] = max(new_longest[timer], load.high)
    return new_state, new_longest


def _become(ranges: Ranges, one: Kept, now: Values | Interval, round_: int) -> Values | Interval:
    found = now
    for case in one.cases:
        ways = ranges.truth(case.condition)
        if 1 not in ways:
            continue
        found = _join(found, _value(ranges, case.value, one.net, round_))
        if ways == frozenset((1,)):
            break
    return found


def _join(one: Values | Interval, other: Values | Interval) -> Values | Interval:
    if isinstance(one, tuple):
        assert isinstance(other, tuple)
        return min(one[0], other[0]), max(one[1], other[1])
    assert not isinstance(other, tuple)
    return one | other


def _value(ranges: Ranges, term: Term, net: Net, round_: int) -> Values | Interval:
    match net.shape:
        case Flag():
            return ranges.truth(cast("Cond", term))
        case Choice():
            return ranges.options(cast("Pick", term))
        case Number(low, high):
            least, most = ranges.interval(cast("Num", term))
            if round_ > 2:  # noqa: PLR2004 - counting up one by one would take as many rounds
                return low, high
            return max(low, min(least, high)), min(high, max(most, low))


# --- amounts below zero --------------------------------------------------------------------------


def least_amount(net: Net, ranges: Ranges) -> int:
    """Return the least that a power net can be, looking at each combination of what it counts from.

    The interval of `feed - side` forgets that side depends on feed; where it goes below zero the
    amounts it is made of are tried one by one.
    """
    if net.term is None:
        return 0
    low, _ = ranges.interval(cast("Num", net.term))
    if low >= 0:
        return low
    bases = sorted(_bases(net), key=lambda one: one.path)
    spans = [range(ranges.intervals[one][0], ranges.intervals[one][1] + 1) for one in bases]
    cases = 1
    for span in spans:
        cases *= len(span)
    if cases > _MOST_CASES:
        return low
    return min(_least(net, dict(zip(bases, values, strict=True))) for values in product(*spans))


def _least(net: Net, values: Mapping[Net, int]) -> int:
    alone = Ranges(intervals={one: (value, value) for one, value in values.items()}, expand=True)
    return alone.interval(cast("Num", net.term))[0]


def _bases(net: Net) -> set[Net]:
    """Return the numbers that a net counts from: inputs, kept and free ones."""
    found: set[Net] = set()
    seen: set[Net] = {net}
    stack = [net]
    while stack:
        for read in _reads(stack.pop()):
            if read.term is None or read.role is Role.IN:
                if isinstance(read.shape, Number):
                    found.add(read)
            elif read not in seen:
                seen.add(read)
                stack.append(read)
    return found


def _reads(net: Net) -> Iterable[Net]:
    assert net.term is not None
    for term in walk(net.term):
        match term:
            case Live(read) | Read(read) | ReadPick(read):
                yield read
            case _:
                pass
