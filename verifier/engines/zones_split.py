"""What may happen in one tick from a key: choices are split only where something hangs on them.

Each lane starts as the key with everything free. Gates are evaluated in three values over all lanes
at once; a lane where the target, a load, a run or a next register is still open is split in two at
one variable that keeps it open, and so on. Lanes that end alike are one effect.

A next register that copies a free variable which nothing else hangs on stays open: the effect then
stands for both values. Where only `allowed` is open, one way to meet it is enough.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from verifier.engines.zones_frame import NO, Bit, Dial, Frame, Leaf, evaluated

_EITHER = 3  # an open literal: may be true (1) and may be false (2)


@dataclass(frozen=True, slots=True)
class Draw:
    """A load: the clock shows `low` .. `high` next, `turned`: `low` less what it shows now."""

    low: int
    high: int
    turned: bool


Act = Draw | bool  # what a clock does in a tick: a load; True: runs; False: stands still


@dataclass(frozen=True, slots=True)
class Effect:
    """One way a tick may go. `box`: where; `hit`: the target is met (the rest is then empty).

    `bits` are the register bits of the next key, `acts` go with the frame's dials.
    """

    box: int
    hit: bool
    bits: int
    acts: tuple[Act, ...]


class _Open(Exception):  # noqa: N818 - no error: carries the literal that a lane must be split at
    """Something is not determined yet."""

    def __init__(self, literal: int) -> None:
        super().__init__(literal)
        self.literal = literal


@dataclass(frozen=True, slots=True)
class _Lane:
    """One lane of one evaluation."""

    frame: Frame
    rails: Sequence[int]
    bit: int
    box: int

    def open(self, literal: int) -> bool:
        """Whether the literal may still be true and may still be false."""
        return bool(self.rails[literal] & self.rails[literal ^ 1] & self.bit)

    def true(self, literal: int) -> bool:
        """Whether a literal holds; raises where it is open."""
        if self.rails[literal] & self.bit:
            if self.rails[literal ^ 1] & self.bit:
                raise _Open(literal)
            return True
        return False

    def cause(self, literal: int) -> Leaf:
        """Return an open leaf that keeps an open literal open."""
        leaf = self.frame.leaf(literal)
        while leaf is None:
            gate = self.frame.gate(literal)
            if gate.chooses and not self.open(gate.literals[0]):
                literal = gate.literals[1 if self.true(gate.literals[0]) else 2]
            else:
                literal = next(inner for inner in gate.literals if self.open(inner))
            leaf = self.frame.leaf(literal)
        return leaf

    def copied(self, literal: int) -> Leaf | None:
        """Return the leaf that an open literal plainly equals here, or is the reverse of."""
        leaf = self.frame.leaf(literal)
        while leaf is None:
            gate = self.frame.gate(literal)
            inside = [inner for inner in gate.literals if self.open(inner)]
            if gate.chooses and not self.open(gate.literals[0]):
                literal = gate.literals[1 if self.true(gate.literals[0]) else 2]
            elif len(inside) == 1:
                literal = inside[0]
            else:
                return None
            leaf = self.frame.leaf(literal)
        return leaf

    def act(self, dial: Dial) -> Act:
        """Return what a kept clock does; raises where that is open."""
        idle = bool(self.box & (1 << dial.place))
        for literal, load in dial.loads:
            if idle and load.high == 0:
                continue
            if self.true(literal):
                return Draw(load.low, load.high, load.turned)
        return not idle and self.true(dial.runs)

    def bits(self) -> int:
        """Return the next register bits; raises where one hangs on more than a free copy."""
        total = 0
        copies: set[int] = set()
        for register in self.frame.bits:
            literal = register.next
            if self.open(literal):
                total |= self._copy(register, copies)
            else:
                total |= (2 if self.rails[literal] & self.bit else 1) << register.place
        return total

    def _copy(self, register: Bit, copies: set[int]) -> int:
        leaf = self.copied(register.next)
        if leaf is None or (leaf.yes | leaf.no) in copies:
            raise _Open(register.next)
        copies.add(leaf.yes | leaf.no)
        return register.both

    def _roots(self) -> Iterator[int]:
        """Yield the literals that this lane's effect may still hang on, NO for those it cannot."""
        yield self.frame.target
        yield self.frame.allowed
        for dial in self.frame.dials:
            idle = bool(self.box & (1 << dial.place))
            taken = False
            for literal, load in dial.loads:
                idle_load = taken or (idle and load.high == 0)
                yield NO if idle_load else literal
                taken = taken or not (idle_load or self.rails[literal ^ 1] & self.bit)
            yield NO if taken or idle else dial.runs
        for register in self.frame.bits:
            yield register.next

    def rest(self) -> object:
        """Return what this lane may still do: lanes of a key that are alike in it end alike.

        That is the value of each root, and of the inputs of each open gate that an open root reads.
        """
        states: list[int] = []
        stack: list[int] = []
        for literal in self._roots():
            states.append(self._state(literal))
            if states[-1] == _EITHER:
                stack.append(literal >> 1)
        seen: set[int] = set()
        inputs: list[tuple[int, ...]] = []
        while stack:
            place = stack.pop()
            if place in seen:
                continue
            seen.add(place)
            leaf = self.frame.leaf(2 * place)
            if leaf is not None:
                inputs.append((place, self.box & (leaf.yes | leaf.no)))
                continue
            literals = self.frame.gate(2 * place).literals
            inside = [self._state(literal) for literal in literals]
            inputs.append((place, *inside))
            stack += [
                literal >> 1
                for literal, state in zip(literals, inside, strict=True)
                if state == _EITHER
            ]
        return tuple(states), frozenset(inputs)

    def _state(self, literal: int) -> int:
        may = 1 if self.rails[literal] & self.bit else 0
        return may + (2 if self.rails[literal ^ 1] & self.bit else 0)

    def effect(self) -> Effect:
        """Return what this lane does; raises where that is open."""
        if self.true(self.frame.target):
            return Effect(self.box, hit=True, bits=0, acts=())
        acts = tuple(self.act(dial) for dial in self.frame.dials)
        return Effect(self.box, hit=False, bits=self.bits(), acts=acts)


def _halves(box: int, leaf: Leaf) -> tuple[int, int]:
    return box & ~leaf.no, box & ~leaf.yes


def effects(frame: Frame, keys: Iterable[int]) -> tuple[dict[int, list[Effect]], int]:
    """Return all effects of a tick from each key, and how many lanes were looked at."""
    found: dict[int, dict[object, Effect]] = {key: {} for key in keys}
    seen: dict[int, set[object]] = {key: set() for key in found}
    lanes = [(key, key | frame.free) for key in found]
    looked = 0
    while lanes:
        looked += len(lanes)
        rails = evaluated(frame, [box for _, box in lanes])
        lanes = [
            (key, half)
            for place, (key, box) in enumerate(lanes)
            for half in _advance(_Lane(frame, rails, 1 << place, box), found[key], seen[key])
        ]
    return {key: list(known.values()) for key, known in found.items()}, looked


def _advance(lane: _Lane, known: dict[object, Effect], seen: set[object]) -> Iterator[int]:
    """Yield the boxes to go on with; put a finished effect into `known`.

    `seen` holds what lanes split before could still do: the same again need not be split.
    """
    allowed = lane.frame.allowed
    if not lane.rails[allowed] & lane.bit:
        return
    try:
        effect = lane.effect()
        same = (effect.hit, effect.bits, effect.acts)
        if same in known:
            return
        lane.true(allowed)
        known[same] = effect
    except _Open as still:
        rest = lane.rest()
        if rest not in seen:
            seen.add(rest)
            yield from _halves(lane.box, lane.cause(still.literal))


def causes(frame: Frame, box: int, registers: int) -> set[Leaf]:
    """Return what the kept registers (their places in boxes) that a box leaves open will copy."""
    lane = _Lane(frame, evaluated(frame, [box]), 1, box)
    found = set()
    for bit in frame.bits:
        if bit.both & registers and lane.open(bit.next):
            found.add(lane.copied(bit.next) or lane.cause(bit.next))
    return found


def narrowed(frame: Frame, keys: Iterable[int]) -> list[int]:
    """Return the parts of the keys that may lie within the domain."""
    boxes = [key | frame.free for key in keys]
    inside: list[int] = []
    while boxes:
        rails = evaluated(frame, boxes)
        further: list[int] = []
        for place, box in enumerate(boxes):
            lane = _Lane(frame, rails, 1 << place, box)
            try:
                if lane.true(frame.domain):
                    inside.append(box & ~frame.free)
            except _Open as still:
                further += _halves(box, lane.cause(still.literal))
        boxes = further
    return list(dict.fromkeys(inside))
