"""What of a run is needed for it to meet its target, told backward, jump by jump.

A run is split into jumps, through each of which nothing changes but clocks that count down. From
the target back to the start only facts are kept that suffice: registers as they are, and clocks
above or not above a number. Of several ways to ground a fact the one with the fewest clocks is
taken. What is left is a shape: the same choices, with clocks as sums of delays and spans.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from verifier.simulate.machine import COUNTS, Look, Machine, Position, machine
from verifier.system.cone import cone
from verifier.system.expr import Node, Op, reachable
from verifier.system.model import Cone, Load, System
from verifier.verdict.trace import Trace

MOST_JUMPS = 400
"""Longer runs have no shape: it would take too long to tell."""

_CLOCK = 16
"""A fact about a clock costs as much as so many about registers: each may bound the settings."""


@dataclass(frozen=True, slots=True)
class Above:
    """A clock shows more than `ticks`, or (not `live`) at most as much."""

    clock: int
    ticks: int
    live: bool


@dataclass(frozen=True, slots=True)
class Jump:
    """A part of a run: these choices for so many ticks, after which nothing else has changed.

    `facts` hold in each of its ticks. `free`: it may also take longer or shorter. `loads` tell
    which load each clock of interest takes, `runs` which of the others count down, `draws` what is
    drawn. Of clocks that are not `told` nothing is known after the jump.
    """

    choices: tuple[int, ...]
    ticks: int
    free: bool
    facts: tuple[Above, ...]
    loads: dict[int, int]
    runs: frozenset[int]
    draws: dict[int, int]
    told: frozenset[int]


@dataclass(frozen=True, slots=True)
class Shape:
    """The jumps of a run, and the facts that hold in its last tick, under its last choices."""

    jumps: tuple[Jump, ...]
    facts: tuple[Above, ...]
    choices: tuple[int, ...]


@dataclass(slots=True, eq=False)
class _Tick:
    """A state of the run with the choices made in it, and what it is worth: values of all nodes."""

    at: Position
    look: Look
    choices: tuple[int, ...]
    draws: tuple[int, ...]
    ticks: int


class NoShapeError(ValueError):
    """A run that cannot be told as a shape; the words say why."""


def shape(system: System, target: Node, trace: Trace) -> Shape:
    """Return the shape of a run that meets its target at its last tick.

    Raises:
        NoShapeError: it begins anywhere, or is too long, or turns a timer over.
    """
    if trace.start is not None:
        raise NoShapeError("it begins anywhere")
    part = cone(system, [target])
    follower = machine(part, (target, system.allowed))
    ticks = _split(follower, trace)
    if len(ticks) > MOST_JUMPS:
        raise NoShapeError("it is too long")
    return _Backward(part, follower, target).shape(ticks)


def _split(follower: Machine, trace: Trace) -> list[_Tick]:
    at, found = follower.start(), []
    part = follower.cone
    for step in trace.steps:
        choices = tuple(step.choices[index] for index in part.choices)
        wished = tuple(step.draws[index] for index in part.clocks)
        left = step.ticks
        while left:
            look = follower.look(*at, choices)
            draws = follower.fitted(look, wished)
            most = follower.longest_jump(at, look, draws)
            ticks = left if most is None else min(most, left)
            found.append(_Tick(at, look, step.choices, draws, ticks))
            if look.seen[0]:
                return found
            at = follower.after(at, look, draws, ticks)
            left -= ticks
    raise NoShapeError("it does not meet its target")


@dataclass(slots=True, eq=False)
class _Needs:
    """Facts that are needed in one state; registers by place, as they stand there."""

    registers: set[int] = field(default_factory=set)
    facts: set[Above] = field(default_factory=set)

    @property
    def clocks(self) -> set[int]:
        """The clocks that facts are about."""
        return {one.clock for one in self.facts}


@dataclass(slots=True, eq=False)
class _Backward:
    """Goes back over the ticks of a run; registers and clocks are told by their system index."""

    part: Cone
    follower: Machine
    target: Node
    _nodes: list[Node] = field(init=False)

    def __post_init__(self) -> None:
        """List all nodes that can matter, arguments first."""
        system = self.part.system
        roots = [self.target, system.allowed]
        roots += [system.registers[index].next for index in self.part.registers]
        for index in self.part.clocks:
            clock = system.clocks[index]
            roots += [clock.runs, *(load.when for load in clock.loads)]
        self._nodes = reachable(roots)

    def shape(self, ticks: Sequence[_Tick]) -> Shape:
        """Return the shape of the run."""
        last = ticks[-1]
        grounds = self._grounds(last)
        need = _Needs()
        grounds.take(self.target, need)
        grounds.take(self.part.system.allowed, need)
        facts = tuple(need.facts)
        registers, clocks = need.registers, need.clocks
        jumps: list[Jump] = []
        for tick in reversed(ticks[:-1]):
            jump, registers, clocks = self._jump(tick, registers, clocks)
            jumps.append(jump)
        return Shape(tuple(reversed(jumps)), facts, last.choices)

    def _jump(
        self, tick: _Tick, registers: set[int], clocks: set[int]
    ) -> tuple[Jump, set[int], set[int]]:
        """Return a jump after which the registers and clocks are as needed, and what it needs."""
        grounds = self._grounds(tick)
        found = self._needed(tick, grounds, registers, clocks, free=True)
        free = found is not None
        if found is None and tick.ticks == 1:
            found = self._needed(tick, grounds, registers, clocks, free=False)
        if found is None:
            raise NoShapeError("a jump is none")
        need, told = found
        place = self.part.clocks.index
        loads = {index: tick.look.loads[place(index)] for index in told}
        counting = {index for index in told if loads[index] == COUNTS}
        jump = Jump(
            tick.choices,
            tick.ticks,
            free,
            tuple(sorted(need.facts, key=lambda one: (one.clock, one.ticks, one.live))),
            {index: load for index, load in loads.items() if load != COUNTS},
            frozenset(index for index in counting if tick.look.runs[place(index)]),
            {index: tick.draws[place(index)] for index in told},
            frozenset(told),
        )
        return jump, need.registers, need.clocks | (clocks & counting)

    def _needed(
        self, tick: _Tick, grounds: "_Grounds", registers: set[int], clocks: set[int], *, free: bool
    ) -> tuple[_Needs, set[int]] | None:
        """Return what a jump needs, and the clocks whose movement is told; None: it is not free."""
        need, told = _Needs(), set(clocks)
        grounds.take(self.part.system.allowed, need)
        for index in registers:
            grounds.take(self.part.system.registers[index].next, need)
        for index in clocks:
            self._movement(tick, index, grounds, need)
        if free and not self._stays(tick, grounds, need, told):
            return None
        return need, told

    def _movement(self, tick: _Tick, index: int, grounds: "_Grounds", need: _Needs) -> None:
        """Add what makes a clock move as it does."""
        clock = self.part.system.clocks[index]
        taken = tick.look.loads[self.part.clocks.index(index)]
        if taken == COUNTS:
            for load in clock.loads:
                grounds.take(load.when, need)
            grounds.take(clock.runs, need)
            return
        if clock.loads[taken].turned:
            raise NoShapeError("it turns a timer over")
        for load in clock.loads[: taken + 1]:
            grounds.take(load.when, need)

    def _stays(self, tick: _Tick, grounds: "_Grounds", need: _Needs, told: set[int]) -> bool:
        """Add what keeps all that is needed as it is for any time; return whether that is so."""
        done = set[int]()
        while True:
            fresh = need.registers - done
            moving = need.clocks - told
            if not fresh and not moving:
                break
            for index in fresh:
                place = self.part.registers.index(index)
                if tick.look.registers[place] != tick.at[0][place]:
                    return False
                grounds.take(self.part.system.registers[index].next, need)
            done |= fresh
            for index in moving:
                self._movement(tick, index, grounds, need)
                told.add(index)
        return all(self._lasts(tick, fact) for fact in need.facts)

    def _lasts(self, tick: _Tick, fact: Above) -> bool:
        """Whether a fact still holds after what its clock loads in the jump."""
        place = self.part.clocks.index(fact.clock)
        taken = tick.look.loads[place]
        if taken == COUNTS:
            return True
        load = self.part.system.clocks[fact.clock].loads[taken]
        shows = _loaded(load, tick.draws[place])
        return (shows > fact.ticks) is fact.live

    def _grounds(self, tick: _Tick) -> "_Grounds":
        return _Grounds(self._nodes, self._leaf(tick))

    def _leaf(self, tick: _Tick) -> Callable[[Node], bool]:
        registers = dict(zip(self.part.registers, tick.at[0], strict=True))
        clocks = dict(zip(self.part.clocks, tick.at[1], strict=True))

        def leaf(node: Node) -> bool:
            match node.op:
                case Op.CONST:
                    return bool(node.data[0])
                case Op.PICK:
                    return tick.choices[node.data[0]] == node.data[1]
                case Op.REGISTER:
                    return registers[node.data[0]]
                case Op.ABOVE:
                    return clocks[node.data[0]] > node.data[1]
                case _:
                    raise NoShapeError("it compares two clocks")

        return leaf


def _loaded(load: Load, draw: int) -> int:
    return load.low if load.low == load.high else draw


_LEAVES = {Op.CONST: 0, Op.PICK: 0, Op.REGISTER: 1, Op.ABOVE: _CLOCK, Op.GAP: _CLOCK}


class _Grounds:
    """Why each node is as it is in one tick: what is needed for it, at the least cost."""

    def __init__(self, nodes: Sequence[Node], leaf: Callable[[Node], bool]) -> None:
        """Work out values and costs, arguments first."""
        self.live: dict[int, bool] = {}
        self.cost: dict[int, int] = {}
        self.by: dict[int, tuple[Node, ...]] = {}
        for node in nodes:
            if node.op in _LEAVES:
                self.live[node.number], self.by[node.number] = leaf(node), ()
                self.cost[node.number] = _LEAVES[node.op]
                continue
            live, grounds = self._inner(node)
            self.live[node.number], self.by[node.number] = live, grounds
            self.cost[node.number] = sum(self.cost[one.number] for one in grounds)

    def _inner(self, node: Node) -> tuple[bool, tuple[Node, ...]]:
        live = self.live
        match node.op:
            case Op.NOT:
                return not live[node.args[0].number], node.args
            case Op.AND | Op.OR:
                decides = node.op is Op.OR
                deciding = [one for one in node.args if live[one.number] is decides]
                if deciding:
                    return decides, (min(deciding, key=self._price),)
                return not decides, node.args
            case _:
                condition, then, other = node.args
                taken = then if live[condition.number] else other
                both = (then, other)
                same = live[then.number] is live[other.number]
                if same and self._sum(both) < self._sum((condition, taken)):
                    return live[taken.number], both
                return live[taken.number], (condition, taken)

    def _price(self, node: Node) -> int:
        return self.cost[node.number]

    def _sum(self, nodes: Iterable[Node]) -> int:
        return sum(map(self._price, nodes))

    def take(self, node: Node, need: _Needs) -> None:
        """Add the registers and facts that make a node what it is."""
        stack, seen = [node], set[int]()
        while stack:
            one = stack.pop()
            if one.number in seen:
                continue
            seen.add(one.number)
            match one.op:
                case Op.REGISTER:
                    need.registers.add(one.data[0])
                case Op.ABOVE:
                    need.facts.add(Above(one.data[0], one.data[1], self.live[one.number]))
                case _:
                    stack += self.by[one.number]
