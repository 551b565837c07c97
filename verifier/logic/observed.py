"""When a choice matters: what would differ if it had stayed as it was a tick ago.

A change of choices is *observed* where, without it, some effect of the tick differs: the next value
of a register or clock, the assumptions, the target. Registers that remember one tick only (those
of edges, above all) are looked at more closely: a difference in them counts only if it has an
effect at the tick after. docs/adr/0012-bounded-jumps.md tells why runs without
other changes are enough.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from verifier.logic.native import Term
from verifier.logic.terms import Terms, encode
from verifier.system.expr import Node, Op, reachable
from verifier.system.fold import leaves
from verifier.system.model import Cone


@dataclass(frozen=True, slots=True)
class Scene:
    """One tick in the solver: terms of nodes by number, clocks, and what loads would bring."""

    terms: Mapping[int, Term]
    registers: Mapping[int, Term]
    clocks: Mapping[int, Term]
    loaded: Mapping[int, tuple[Term, ...]]


@dataclass(frozen=True, slots=True)
class Change:
    """The choices at one tick, against what they were before.

    `direct`: without the change something would differ that is no short memory. `recalled`: what
    short memories would hold at the next tick without the change; `memory`: one of them differs.
    """

    changed: Term
    direct: Term
    recalled: Mapping[int, Term]
    memory: Term


@dataclass(slots=True, eq=False)
class Observer:
    """Knows which expressions depend on choices and on short memories of them."""

    room: Terms
    cone: Cone
    target: Node
    nodes: list[Node]
    least: Mapping[int, int]
    """The lowest threshold of each clock: lower values are alike, unless a clock is turned."""
    short: frozenset[int] = field(init=False)
    """Registers whose next value does not depend on what they hold."""
    touched: list[Node] = field(init=False)
    """The nodes that depend on choices."""
    recalling: list[Node] = field(init=False)
    """The nodes that depend on short memories to which choices are written."""

    def __post_init__(self) -> None:
        """Follow the dependencies once."""
        registers = self.cone.system.registers
        self.short = frozenset(
            index
            for index in self.cone.registers
            if index not in leaves([registers[index].next])[Op.REGISTER]
        )
        self.touched = self._depending(Op.PICK, set(self.cone.choices))
        numbers = {node.number for node in self.touched}
        written = {index for index in self.short if registers[index].next.number in numbers}
        self.recalling = self._depending(Op.REGISTER, written)

    def _depending(self, op: Op, indices: set[int]) -> list[Node]:
        found: set[int] = set()
        for node in self.nodes:
            own = node.op is op and node.data[0] in indices
            if own or any(arg.number in found for arg in node.args):
                found.add(node.number)
        return [node for node in self.nodes if node.number in found]

    def change(self, scene: Scene, before: Mapping[int, tuple[Term, ...]], changed: Term) -> Change:
        """Return what would be without the change; `before` are the options as they were taken."""

        def leaf(node: Node) -> Term:
            return before[node.data[0]][node.data[1]]

        other = encode(self.room, self.touched, leaf, scene.terms)
        registers = self.cone.system.registers
        recalled = {
            index: other[registers[index].next.number]
            for index in self.short
            if registers[index].next.number in other
        }
        memory = self.room.or_(
            self.room.differ(scene.terms[registers[index].next.number], value)
            for index, value in recalled.items()
        )
        direct = self.room.or_(self._differences(scene, other, self.short))
        return Change(changed, direct, recalled, memory)

    def later(self, scene: Scene, change: Change) -> Term:
        """Return: at the tick after, the short memories would make a difference."""

        def leaf(node: Node) -> Term:
            return change.recalled[node.data[0]]

        other = encode(self.room, self.recalling, leaf, scene.terms)
        return self.room.or_(self._differences(scene, other, frozenset()))

    def _differences(
        self, scene: Scene, other: Mapping[int, Term], left_out: frozenset[int]
    ) -> Iterable[Term]:
        """Yield, for each effect of a tick, that it differs in the other reading."""
        system = self.cone.system
        nexts = [system.registers[i].next for i in self.cone.registers if i not in left_out]
        for node in [*nexts, system.allowed, self.target]:
            if node.number in other:
                yield self.room.differ(scene.terms[node.number], other[node.number])
        for index in self.cone.clocks:
            clock = system.clocks[index]
            causes = [clock.runs, *(load.when for load in clock.loads)]
            if any(node.number in other for node in causes):
                yield self._clock_differs(scene, {**scene.terms, **other}, index)

    def _clock_differs(self, scene: Scene, other: Mapping[int, Term], index: int) -> Term:
        room = self.room
        one, two = (self._next(scene, terms, index) for terms in (scene.terms, other))
        differs = room.not_(room.equal(one, two))
        if any(load.turned for load in self.cone.system.clocks[index].loads):
            return differs
        least = self.least[index]
        return room.and_((differs, room.or_((room.above(one, least), room.above(two, least)))))

    def _next(self, scene: Scene, terms: Mapping[int, Term], index: int) -> Term:
        """Return what a clock shows a tick later."""
        room, clock, shows = self.room, self.cone.system.clocks[index], scene.clocks[index]
        runs = room.and_((terms[clock.runs.number], room.above(shows, 0)))
        value = room.if_(runs, room.minus(shows, room.number(1)), shows)
        for load, loaded in reversed(list(zip(clock.loads, scene.loaded[index], strict=True))):
            value = room.if_(terms[load.when.number], loaded, value)
        return value


def dependents(cone: Cone, target: Node) -> list[Node]:
    """Return all expressions that say how the cone goes on, and the target."""
    system = cone.system
    roots = [system.registers[index].next for index in cone.registers]
    for index in cone.clocks:
        clock = system.clocks[index]
        roots += [clock.runs, *(load.when for load in clock.loads)]
    return reachable([*roots, system.allowed, target])
