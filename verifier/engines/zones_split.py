"""What may happen in one tick from a key: choices are split only where something hangs on them.

Each key starts as a box with everything free, its gates evaluated in three values. Units that stay
open fall into groups with no variable in common. A group is worked out by itself: its box is split
in two at a variable that keeps a unit open, and so on; parts that end alike are one. What a group
may do hangs only on what its open gates read, so keys share it. The effects of a key are the ways
to take one part of each group.

A next register that copies a free variable which nothing else hangs on stays open: it then stands
for both values. Where only the assumptions are open, one way to meet them is enough.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import product
from math import prod

from verifier.engines.contract import Budget
from verifier.engines.zones_frame import Frame, Leaf, evaluated
from verifier.engines.zones_lane import (
    ALLOWED,
    EITHER,
    FALSE,
    FIRST_DIAL,
    TARGET,
    Act,
    Lane,
    Reading,
    StillOpen,
)
from verifier.verdict.evidence import Why

MOST = 10_000  # boxes still to be split, effects of a key: more is hopeless
TOGETHER = 256  # boxes evaluated at a time: with more of them, to look at one takes longer

# Nominal seconds, measured on one core of a usual machine.
PER_GATE = 1e-6  # once for each evaluation, and
PER_GATE_AND_BOX = 0.3e-6
PER_BOX = 25e-6
PER_EFFECT = 5e-6
PER_READ = 1.5e-6  # an open gate that is followed


@dataclass(frozen=True, slots=True)
class Effect:
    """One way a tick may go. `box`: where; `hit`: the target is met (the rest is then empty).

    `bits` are the register bits of the next key, `acts` go with the frame's dials.
    """

    box: int
    hit: bool
    bits: int
    acts: tuple[Act, ...]


@dataclass(frozen=True, slots=True)
class _Part:
    """One way a group may go; `gone`: values that a box must not have for it."""

    gone: int
    hit: bool
    bits: int
    acts: tuple[tuple[int, Act], ...]

    def same(self) -> object:
        """Return what counts: two parts alike in it are one."""
        return self.hit, self.bits, self.acts


@dataclass(slots=True, eq=False)
class _Group:
    """Units to be worked out together from one box; `seen`: what boxes split so far could do."""

    units: tuple[int, ...]
    box: int
    parts: dict[object, _Part] = field(default_factory=dict)
    seen: set[Reading] = field(default_factory=set)

    def advance(self, lane: Lane, budget: Budget) -> Iterator[int]:
        """Yield the boxes to go on with; keep a finished part."""
        if ALLOWED in self.units and lane.state(lane.frame.allowed) == FALSE:
            return
        try:
            part = self.settled(lane)
            if part.same() in self.parts:
                return
            if ALLOWED in self.units:
                lane.true(lane.frame.allowed)
            self.parts[part.same()] = part
        except StillOpen as still:
            rest = lane.reading(self.units)
            budget.use(len(rest.inputs) * PER_READ)
            if rest not in self.seen:
                self.seen.add(rest)
                yield from lane.halves(still.literal)

    def settled(self, lane: Lane) -> _Part:
        """Return what a box does; raises where something is open."""
        gone = self.box & ~lane.box
        dials = lane.frame.dials
        bits = 0
        acts: list[tuple[int, Act]] = []
        copies: set[int] = set()
        for unit in self.units:
            place = unit - FIRST_DIAL
            if unit == TARGET and lane.true(lane.frame.target):
                return _Part(gone, hit=True, bits=0, acts=())
            if 0 <= place < len(dials):
                acts.append((place, lane.act(dials[place])))
            elif place >= len(dials):
                bits |= lane.next_bit(lane.frame.bits[place - len(dials)], copies)
        return _Part(gone, hit=False, bits=bits, acts=tuple(acts))


class Spent(Exception):  # noqa: N818 - no error: a search that ends with it gives an answer
    """Stop here, for the reason given."""

    def __init__(self, why: Why) -> None:
        """Carry the reason."""
        super().__init__(why)
        self.why = why


class Splitter:
    """Works out effects, and keeps what groups may do for later keys."""

    def __init__(self, frame: Frame, budget: Budget) -> None:
        """Start with nothing known."""
        self._frame = frame
        self._budget = budget
        self._known: dict[Reading, _Group] = {}

    def effects(self, keys: Sequence[int]) -> list[list[Effect]]:
        """Return all effects of a tick from each key; raises `Spent`."""
        boxes = [key | self._frame.free for key in keys]
        rails = self._evaluated(boxes)
        lanes = [Lane(self._frame, rails, 1 << n, box) for n, box in enumerate(boxes)]
        plans = [self._groups(lane) for lane in lanes]
        fresh = [g for groups in plans for g in groups if not g.parts and not g.seen]
        self._work_out(list(dict.fromkeys(fresh)))
        found = []
        for lane, groups in zip(lanes, plans, strict=True):
            found.append(list(self._combined(lane, groups)))
            self._budget.use(len(found[-1]) * PER_EFFECT)
            if self._budget.spent():
                raise Spent(Why.TIME)
        return found

    def _groups(self, lane: Lane) -> list[_Group]:
        """Return the groups of a box; an impossible one is a group without parts."""
        count = FIRST_DIAL + len(self._frame.dials) + len(self._frame.bits)
        units = [unit for unit in range(count) if lane.is_open(unit)]
        joined: list[Reading] = []
        for unit in units:
            reading = lane.reading([unit])
            self._budget.use(len(reading.inputs) * PER_READ)
            for other in [one for one in joined if one.variables & reading.variables]:
                joined.remove(other)
                reading = other.joined(reading)
            joined.append(reading)
        return [self._group(reading, lane.box) for reading in joined]

    def _group(self, reading: Reading, box: int) -> _Group:
        known = self._known.get(reading)
        if known is None:
            units = tuple(states[0] for states in reading.states)
            known = self._known[reading] = _Group(units, box)
        return known

    def _work_out(self, groups: Sequence[_Group]) -> None:
        lanes = [(group, group.box) for group in groups]
        while lanes:
            if len(lanes) > MOST:
                raise Spent(Why.SIZE)
            if self._budget.spent():
                raise Spent(Why.TIME)
            chunks = range(0, len(lanes), TOGETHER)
            lanes = [half for n in chunks for half in self._advanced(lanes[n : n + TOGETHER])]

    def _advanced(self, lanes: Sequence[tuple[_Group, int]]) -> Iterator[tuple[_Group, int]]:
        """Yield the boxes to go on with, beside their groups."""
        rails = self._evaluated([box for _, box in lanes])
        for n, (group, box) in enumerate(lanes):
            for half in group.advance(Lane(self._frame, rails, 1 << n, box), self._budget):
                yield group, half

    def _evaluated(self, boxes: Sequence[int]) -> list[int]:
        size = self._frame.size
        self._budget.use(len(boxes) * (PER_BOX + size * PER_GATE_AND_BOX) + size * PER_GATE)
        return evaluated(self._frame, boxes)

    def _combined(self, lane: Lane, groups: Sequence[_Group]) -> Iterator[Effect]:
        frame = self._frame
        if lane.state(frame.allowed) == FALSE or not all(group.parts for group in groups):
            return
        hit = self._hit(lane, groups)
        if hit is not None:
            yield hit
            return
        if prod(len(group.parts) for group in groups) > MOST:
            raise Spent(Why.SIZE)
        base = _Group(self._fixed(groups), lane.box).settled(lane)
        for parts in product(*(group.parts.values() for group in groups)):
            box, bits = lane.box, base.bits
            acts = dict(base.acts)
            for part in parts:
                box &= ~part.gone
                bits |= part.bits
                acts.update(part.acts)
            yield Effect(box, hit=False, bits=bits, acts=tuple(acts[n] for n in range(len(acts))))

    def _hit(self, lane: Lane, groups: Sequence[_Group]) -> Effect | None:
        """Return a way to meet the target, and the assumptions with it."""
        if lane.state(self._frame.target) == FALSE:
            return None
        box = lane.box
        for group in groups:
            parts = list(group.parts.values())
            if TARGET in group.units:
                parts = [part for part in parts if part.hit]
            elif ALLOWED not in group.units:
                continue
            if not parts:
                return None
            box &= ~parts[0].gone
        return Effect(box, hit=True, bits=0, acts=())

    def _fixed(self, groups: Sequence[_Group]) -> tuple[int, ...]:
        grouped = {unit for group in groups for unit in group.units}
        count = FIRST_DIAL + len(self._frame.dials) + len(self._frame.bits)
        return tuple(unit for unit in range(FIRST_DIAL, count) if unit not in grouped)


def causes(frame: Frame, box: int, registers: int) -> set[Leaf]:
    """Return what the kept registers (their places in boxes) that a box leaves open will copy."""
    lane = Lane(frame, evaluated(frame, [box]), 1, box)
    found = set()
    for bit in frame.bits:
        if bit.both & registers and lane.state(bit.next) == EITHER:
            found.add(lane.copied(bit.next) or lane.cause(bit.next))
    return found


def narrowed(frame: Frame, key: int, budget: Budget) -> list[int]:
    """Return the parts of a key that may lie within the domain; raises `Spent`."""
    boxes = [key | frame.free]
    inside: list[int] = []
    while boxes:
        if budget.spent():
            raise Spent(Why.TIME)
        box = boxes.pop()
        part = box & ~frame.free
        if any(part & ~known == 0 for known in inside):
            continue
        budget.use(PER_BOX + frame.size * PER_GATE)
        lane = Lane(frame, evaluated(frame, [box]), 1, box)
        try:
            if lane.true(frame.domain):
                inside.append(part)
        except StillOpen as still:
            boxes += lane.halves(still.literal)
    return inside
