"""A system in which only some people act, and all that then never changes is left out.

Much of a large design matters to a claim only through its assumptions: "one press at a time" reads
every button there is. A run in which the others rest is a run of the whole; it is cheaper to find.
"""

from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field, replace

from verifier.engines.contract import Budget, Task
from verifier.system.cone import behind, cone
from verifier.system.expr import Node, Op
from verifier.system.fold import replaced
from verifier.system.model import Clock, Load, Register, System

MOST = 8
"""A target of more pieces than this is taken as one."""

PER_NODE = 3e-6
"""Measured: nominal seconds for one node, each time that all of them are gone through."""


def scenes(task: Task, budget: Budget) -> list[Task]:
    """Return a task for each piece of the target, in which only those act whom it hangs on.

    Pieces that are then out of reach are left out; only the task where there is nothing to gain.
    """
    target, system = task.target, task.cone.system
    pieces = target.args if target.op is Op.OR else (target,)
    acting = [frozenset(behind(system, [piece]).choices) for piece in pieces]
    if len(pieces) > MOST or frozenset(task.cone.choices) in acting:
        return [task]
    quiet = {few: _Quiet(system, few) for few in acting}
    budget.use(sum(one.size * one.rounds * PER_NODE for one in quiet.values()))
    found = []
    for piece, few in zip(pieces, acting, strict=True):
        image = quiet[few].image(piece)
        if image is not system.pool.no:
            found.append(replace(task, cone=cone(quiet[few].system(), [image]), target=image))
    return found or [task]


@dataclass(slots=True, eq=False)
class _Quiet:
    """What stays as it is at the start while only `acting` choices are touched.

    Begins with everything, and takes out what some tick changes, until no tick does: the greatest
    fixed point.
    """

    source: System
    acting: AbstractSet[int]
    size: int = 0
    rounds: int = 0
    still: set[int] = field(init=False)
    idle: set[int] = field(init=False)
    _images: dict[int, Node] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Find the fixed point."""
        system = self.source
        self.still = set(range(len(system.registers)))
        self.idle = {n for n, clock in enumerate(system.clocks) if clock.start == 0}
        while self._drop():
            pass

    def _drop(self) -> bool:
        """Take out what changes; return whether anything did."""
        self._images.clear()
        system, pool = self.source, self.source.pool
        self._prepare()
        moving = {
            n
            for n in self.still
            if self.image(system.registers[n].next) is not pool.const(system.registers[n].start)
        }
        loaded = {
            n
            for n in self.idle
            if any(self.image(load.when) is not pool.no for load in system.clocks[n].loads)
        }
        self.still -= moving
        self.idle -= loaded
        return bool(moving or loaded)

    def _prepare(self) -> None:
        system = self.source
        roots = [register.next for register in system.registers]
        roots += [clock.runs for clock in system.clocks]
        roots += [load.when for clock in system.clocks for load in clock.loads]
        self._images.update(replaced(system.pool, [*roots, system.allowed], self._leaf))
        self.size = len(self._images)
        self.rounds += 1

    def _leaf(self, node: Node) -> Node:
        pool = self.source.pool
        match node.op:
            case Op.PICK if node.data[0] not in self.acting:
                return pool.const(node.data[1] == 0)
            case Op.REGISTER if node.data[0] in self.still:
                return pool.const(self.source.registers[node.data[0]].start)
            case Op.ABOVE if node.data[0] in self.idle:
                return pool.no
            case _:
                return node

    def image(self, node: Node) -> Node:
        """Return a node with all that stays as it is put in."""
        if node.number not in self._images:
            self._images.update(replaced(self.source.pool, [node], self._leaf))
        return self._images[node.number]

    def system(self) -> System:
        """Return the system in which the others rest."""
        source = self.source
        return replace(
            source,
            registers=tuple(map(self._register, source.registers)),
            clocks=tuple(map(self._clock, source.clocks)),
            allowed=self.image(source.allowed),
        )

    def _register(self, register: Register) -> Register:
        return replace(register, next=self.image(register.next))

    def _clock(self, clock: Clock) -> Clock:
        loads = tuple(
            Load(self.image(one.when), one.low, one.high, one.turned) for one in clock.loads
        )
        return replace(clock, loads=loads, runs=self.image(clock.runs))
