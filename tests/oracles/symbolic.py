"""Claims answered by sets of states as decision diagrams of the package dd.

Choices and clocks are binary numbers, registers single bits; a tick is one relation between now and
then. Fixpoints as in J. R. Burch, E. M. Clarke, K. L. McMillan, D. L. Dill, L. J. Hwang, "Symbolic
model checking: 10^20 states and beyond", LICS 1990.
"""

from collections.abc import Iterator, Sequence

from tests.oracles.encoding import Encoder, Needed, needed
from tests.oracles.truth import Truth
from tests.outside.bdd import Bdd, manager, renamed
from verifier.system.expr import Node, Op
from verifier.system.model import Clock, Form, Question, System


class _Logic:
    """Decision diagrams joined."""

    def __init__(self, bdd: Bdd) -> None:
        self.bdd = bdd

    def const(self, value: bool) -> Bdd:
        return self.bdd.true if value else self.bdd.false

    def not_(self, one: Bdd) -> Bdd:
        return ~one

    def and_(self, parts: Sequence[Bdd]) -> Bdd:
        found = self.bdd.true
        for part in parts:
            found &= part
        return found

    def or_(self, parts: Sequence[Bdd]) -> Bdd:
        found = self.bdd.false
        for part in parts:
            found |= part
        return found

    def if_(self, condition: Bdd, then: Bdd, other: Bdd) -> Bdd:
        return self.bdd.ite(condition, then, other)


class Symbolic:
    """All ticks of the part of a system that some nodes hang on."""

    def __init__(self, system: System, roots: Sequence[Node]) -> None:
        """Make the relation of a tick."""
        self.system, self.bdd = system, manager()
        self.part: Needed = needed(system, roots)
        self.logic = _Logic(self.bdd)
        self.now: list[str] = []
        self.free: list[str] = []
        for index in self.part.registers:
            self._two(f"r{index}")
        self.bits: dict[str, list[str]] = {}
        for index in self.part.clocks:
            width = system.clocks[index].longest.bit_length()
            self.bits[f"c{index}"] = [f"c{index}_{bit}" for bit in range(width)]
            for name in self.bits[f"c{index}"]:
                self._two(name)
        for index in self.part.choices:
            width = (len(system.choices[index].options) - 1).bit_length()
            self.bits[f"x{index}"] = [f"x{index}_{bit}" for bit in range(width)]
            self.free += self.bits[f"x{index}"]
        self.bdd.declare(*self.free)
        self.then = {f"{name}'": name for name in self.now}
        self.encoder = Encoder[Bdd](self.logic, self._leaf)
        self.allowed = self.encoder.of(system.allowed)
        for index in self.part.choices:
            options = range(len(system.choices[index].options))
            self.allowed &= self.logic.or_([self._number(f"x{index}", one) for one in options])
        self.tick = self.logic.and_(list(self._relation()))

    def _two(self, name: str) -> None:
        self.bdd.declare(name, f"{name}'")
        self.now.append(name)

    def _number(self, name: str, value: int, mark: str = "") -> Bdd:
        """Return: a binary number is this."""
        names = enumerate(self.bits[name])
        return self.bdd.cube({f"{one}{mark}": bool(value >> bit & 1) for bit, one in names})

    def _leaf(self, node: Node) -> Bdd:
        index = node.data[0]
        match node.op:
            case Op.PICK:
                return self._number(f"x{index}", node.data[1])
            case Op.REGISTER:
                return self.bdd.var(f"r{index}")
            case _:
                more = range(node.data[1] + 1, self.system.clocks[index].longest + 1)
                return self.logic.or_([self._number(f"c{index}", value) for value in more])

    def _relation(self) -> Iterator[Bdd]:
        yield self.allowed
        for index in self.part.registers:
            after = self.encoder.of(self.system.registers[index].next)
            yield ~self.bdd.apply("xor", self.bdd.var(f"r{index}'"), after)
        for index in self.part.clocks:
            yield self._clock(f"c{index}", self.system.clocks[index])

    def _clock(self, name: str, clock: Clock) -> Bdd:
        """Return how a clock goes on, value by value."""
        every = range(clock.longest + 1)
        found, left = self.bdd.false, self.bdd.true
        for load in clock.loads:
            taken = left & self.encoder.of(load.when)
            left &= ~taken
            for value in every:
                now = taken & self._number(name, value)
                low, high = load.low, load.high
                if load.turned:
                    low = high = max(0, load.low - value)
                then = [self._number(name, one, "'") for one in range(low, high + 1)]
                found |= now & self.logic.or_(then)
        runs = self.encoder.of(clock.runs)
        for value in every:
            now = left & self._number(name, value)
            found |= now & runs & self._number(name, max(0, value - 1), "'")
            found |= now & ~runs & self._number(name, value, "'")
        return found

    # --- sets of states ---------------------------------------------------------------------------

    def _later(self, states: Bdd) -> Bdd:
        """Return states as those of the tick that follows."""
        return renamed(self.bdd, {name: mark for mark, name in self.then.items()}, states)

    def image(self, states: Bdd, ticks: Bdd) -> Bdd:
        """Return the states that some ticks lead to."""
        after = self.bdd.exist([*self.now, *self.free], states & ticks)
        return renamed(self.bdd, self.then, after)

    def before(self, states: Bdd, ticks: Bdd) -> Bdd:
        """Return the states from which some of the ticks lead into the given ones."""
        then = self._later(states)
        return self.bdd.exist([*self.then, *self.free], then & ticks)

    def start(self, *, anywhere: bool) -> Bdd:
        """Return the states at tick 0."""
        found = self.encoder.of(self.system.domain) if anywhere else self.bdd.true
        for index in self.part.registers:
            register = self.system.registers[index]
            if not (anywhere and register.kept):
                one = self.bdd.var(f"r{index}")
                found &= one if register.start else ~one
        for index in self.part.clocks:
            clock = self.system.clocks[index]
            values = range(clock.longest + 1) if anywhere and clock.kept else (clock.start,)
            found &= self.logic.or_([self._number(f"c{index}", one) for one in values])
        if anywhere:
            outside = [name for name in self.bdd.support(found) if name not in self.now]
            assert not outside
        return found

    def endless(self) -> Bdd:
        """Return the states from which a run goes on for ever, reached or not."""
        states = self.bdd.true
        while True:
            kept = states & self.before(states, self.tick)
            if kept == states:
                return states
            states = kept

    def layers(self, *, anywhere: bool) -> tuple[list[Bdd], Bdd]:
        """Return the states that runs which count first come to at each tick, and their ticks."""
        live = self.endless()
        then = self._later(live)
        ticks = self.tick & live & then
        layer = self.start(anywhere=anywhere) & live
        seen, found = layer, []
        while layer != self.bdd.false:
            found.append(layer)
            layer = self.image(layer, ticks) & ~seen
            seen |= layer
        return found, ticks


def kept_states(system: System) -> int:
    """Return how many combinations of kept values runs that count come to."""
    roots = [
        *(one.next for one in system.registers if one.kept),
        *(load.when for one in system.clocks for load in one.loads if one.kept),
        *(one.runs for one in system.clocks if one.kept),
        *(system.pool.register(n) for n, one in enumerate(system.registers) if one.kept),
        *(system.pool.above(n, 0) for n, one in enumerate(system.clocks) if one.kept),
    ]
    whole = Symbolic(system, roots)
    layers, _ = whole.layers(anywhere=False)
    seen = whole.logic.or_(layers)
    beside = [f"r{index}" for index in whole.part.registers if not system.registers[index].kept]
    beside += [
        name
        for index in whole.part.clocks
        if not system.clocks[index].kept
        for name in whole.bits[f"c{index}"]
    ]
    return int(whole.bdd.count(whole.bdd.exist(beside, seen), len(whole.now) - len(beside)))


def truth(system: System, question: Question) -> Truth:
    """Return whether a claim holds, by sets of states; `whatever the spans` is not looked at."""
    roots = [question.bad, question.goal, question.waiting]
    if question.anywhere:
        roots.append(system.domain)
    all_of = Symbolic(system, roots)
    layers, ticks = all_of.layers(anywhere=question.anywhere)
    if not layers:
        return Truth(holds=True, counts=False)
    looked_for = question.goal if question.form in {Form.REACH, Form.OPEN} else question.bad
    hit = ticks & all_of.encoder.of(looked_for)
    first = next((n for n, layer in enumerate(layers) if layer & hit != all_of.bdd.false), None)
    match question.form:
        case Form.AVOID:
            return Truth(first is None, first)
        case Form.REACH:
            return Truth(first is not None, first)
        case Form.OPEN:
            return Truth(_open(all_of, layers, hit, ticks, question.limit))
        case Form.AGAIN:
            waits = _waits(all_of, layers, ticks & all_of.encoder.of(question.waiting))
            return Truth(first is None and not waits, first)


def _open(all_of: Symbolic, layers: Sequence[Bdd], hit: Bdd, ticks: Bdd, limit: int | None) -> bool:
    """Whether from each state a hit can come, within a limit."""
    seen = all_of.logic.or_(layers)
    good, rank = all_of.bdd.exist([*all_of.then, *all_of.free], hit), 0
    while limit is None or rank < limit:
        more = good | all_of.before(good, ticks)
        if more == good:
            break
        good, rank = more, rank + 1
    return bool(seen & ~good == all_of.bdd.false)


def _waits(all_of: Symbolic, layers: Sequence[Bdd], waiting: Bdd) -> bool:
    """Whether some run waits at every tick from some tick on."""
    states = all_of.logic.or_(layers)
    while True:
        kept = states & all_of.before(states, waiting)
        if kept == states:
            return bool(states != all_of.bdd.false)
        states = kept
