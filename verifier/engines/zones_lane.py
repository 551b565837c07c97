"""One box looked at through evaluated gates: what is open in it, why, and what hangs together.

The tick of a frame falls into *units*: the target, the assumptions, what each kept clock does and
what each kept register becomes. A unit is open while a literal that it hangs on is.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from verifier.engines.zones_frame import NO, Bit, Dial, Frame, Leaf

TARGET = 0
ALLOWED = 1
FIRST_DIAL = 2  # then the dials, then the registers

FALSE = 2
TRUE = 1
EITHER = TRUE + FALSE


@dataclass(frozen=True, slots=True)
class Draw:
    """A load: the clock shows `low` .. `high` next, `turned`: `low` less what it shows now."""

    low: int
    high: int
    turned: bool


Act = Draw | bool  # what a clock does in a tick: a load; True: runs; False: stands still


class StillOpen(Exception):  # noqa: N818 - no error: says which literal a box must be split for
    """Something is not determined yet."""

    def __init__(self, literal: int) -> None:
        """Carry the literal."""
        super().__init__(literal)
        self.literal = literal


@dataclass(frozen=True, slots=True)
class Reading:
    """What units hang on: their variables, and all that decides what they may still do.

    `states` are the values of the roots of each unit, `inputs` those of the inputs of each open
    gate that an open root reads. Boxes whose `states` and `inputs` are alike end alike.
    """

    variables: int
    states: tuple[tuple[int, ...], ...]
    inputs: frozenset[tuple[int, ...]]

    def joined(self, other: "Reading") -> "Reading":
        """Return what both hang on."""
        return Reading(
            self.variables | other.variables,
            tuple(sorted(self.states + other.states)),
            self.inputs | other.inputs,
        )


@dataclass(frozen=True, slots=True)
class Lane:
    """A box, and its bit in the rails."""

    frame: Frame
    rails: Sequence[int]
    bit: int
    box: int

    def state(self, literal: int) -> int:
        """Return TRUE, FALSE or EITHER."""
        may = TRUE if self.rails[literal] & self.bit else 0
        return may + (FALSE if self.rails[literal ^ 1] & self.bit else 0)

    def true(self, literal: int) -> bool:
        """Whether a literal holds; raises where it is open."""
        state = self.state(literal)
        if state == EITHER:
            raise StillOpen(literal)
        return state == TRUE

    def roots(self, unit: int) -> list[int]:
        """Return the literals that a unit hangs on here."""
        if unit == TARGET:
            return [self.frame.target]
        if unit == ALLOWED:
            return [self.frame.allowed]
        place = unit - FIRST_DIAL
        dials = self.frame.dials
        if place >= len(dials):
            return [self.frame.bits[place - len(dials)].next]
        return self._dial_roots(dials[place])

    def _dial_roots(self, dial: Dial) -> list[int]:
        idle = bool(self.box & (1 << dial.place))
        found: list[int] = []
        for literal, load in dial.loads:
            if idle and load.high == 0:
                found.append(NO)
                continue
            found.append(literal)
            if self.state(literal) == TRUE:
                return found
        return found if idle else [*found, dial.runs]

    def is_open(self, unit: int) -> bool:
        """Whether something that the unit hangs on is open."""
        return any(self.state(literal) == EITHER for literal in self.roots(unit))

    def reading(self, units: Iterable[int]) -> Reading:
        """Return what the units, in rising order, hang on."""
        states: list[tuple[int, ...]] = []
        stack: list[int] = []
        for unit in units:
            roots = self.roots(unit)
            inside = [self.state(literal) for literal in roots]
            states.append((unit, *inside))
            stack += [r >> 1 for r, state in zip(roots, inside, strict=True) if state == EITHER]
        rails, bit = self.rails, self.bit
        variables = 0
        seen: set[int] = set()
        inputs: list[tuple[int, ...]] = []
        leaf_count = len(self.frame.leaves)
        while stack:
            place = stack.pop()
            if place in seen:
                continue
            seen.add(place)
            if place <= leaf_count:
                leaf = self.frame.leaves[place - 1]
                variables |= leaf.variable
                inputs.append((place, self.box & leaf.variable))
            else:
                literals = self.frame.gates[place - 1 - leaf_count].literals
                inside = [place]
                for literal in literals:  # `state` written out: most of the time is spent here
                    if not rails[literal] & bit:
                        inside.append(FALSE)
                    elif not rails[literal ^ 1] & bit:
                        inside.append(TRUE)
                    else:
                        inside.append(EITHER)
                        stack.append(literal >> 1)
                inputs.append(tuple(inside))
        return Reading(variables, tuple(states), frozenset(inputs))

    def cause(self, literal: int) -> Leaf:
        """Return an open leaf that keeps an open literal open."""
        leaf = self.frame.leaf(literal)
        while leaf is None:
            gate = self.frame.gate(literal)
            if gate.chooses and self.state(gate.literals[0]) != EITHER:
                literal = gate.literals[1 if self.true(gate.literals[0]) else 2]
            else:
                literal = next(one for one in gate.literals if self.state(one) == EITHER)
            leaf = self.frame.leaf(literal)
        return leaf

    def copied(self, literal: int) -> Leaf | None:
        """Return the leaf that an open literal plainly equals here, or is the reverse of."""
        leaf = self.frame.leaf(literal)
        while leaf is None:
            gate = self.frame.gate(literal)
            inside = [one for one in gate.literals if self.state(one) == EITHER]
            if gate.chooses and self.state(gate.literals[0]) != EITHER:
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
            if not (idle and load.high == 0) and self.true(literal):
                return Draw(load.low, load.high, load.turned)
        return not idle and self.true(dial.runs)

    def next_bit(self, register: Bit, copies: set[int]) -> int:
        """Return the values that a register may have next.

        Both where it copies a free variable that nothing else in `copies` does; raises where it is
        open otherwise.
        """
        state = self.state(register.next)
        if state != EITHER:
            return (2 if state == TRUE else 1) << register.place
        leaf = self.copied(register.next)
        if leaf is None or leaf.variable in copies:
            raise StillOpen(register.next)
        copies.add(leaf.variable)
        return register.both

    def halves(self, literal: int) -> tuple[int, int]:
        """Return the box in two parts, split at a leaf that keeps an open literal open."""
        leaf = self.cause(literal)
        return self.box & ~leaf.no, self.box & ~leaf.yes
