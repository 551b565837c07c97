"""What a cut model keeps next, of all that a false alarm hangs on.

First what no choice drives at once: what people may set as they like rarely takes a way out of the
model. Of these, what most alarms hung on, of that what the target reads soonest, and of that what
hangs together: a few of a row of levers may do, and none of the lanterns of which each serves an
alarm as well as the next. The bits of one kept value (a place, a count) come together: apart they
would take on values that the whole never has. With `loops` so does what hangs on one another:
timers that start each other show their rhythm only together, and half of them raise an alarm for
each way to be out of step.
"""

from collections import Counter
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from graphlib import CycleError, TopologicalSorter

from verifier.engines.zones_frame import Kept
from verifier.system.cone import behind
from verifier.system.expr import Node, Op
from verifier.system.fold import leaves
from verifier.system.model import Cone

Source = tuple[Op, int]  # a register or (ABOVE) a clock, by index


@dataclass(frozen=True, slots=True, eq=False)
class Order:
    """In which order to keep the registers and clocks of a cone.

    `near`: how many ticks before the target each is first read; `driven`: those that a choice sets;
    `bundles`: the bits of a kept value, for each of them; `loops`: what hangs on one another comes
    together; `alarms`: how many hung on each.
    """

    cone: Cone
    near: dict[Source, int]
    driven: frozenset[Source]
    bundles: dict[Source, frozenset[Source]]
    loops: bool
    alarms: Counter[Source] = field(default_factory=Counter)
    _known: dict[Source, AbstractSet[Source]] = field(default_factory=dict)

    @classmethod
    def of(cls, cone: Cone, target: Node, *, loops: bool = False) -> "Order":
        """Return the order for a target; what only assumptions or the domain read comes last."""
        last = len(cone.registers) + len(cone.clocks)
        near: dict[Source, int] = {}
        for depth, roots in ((0, [target]), (last, [cone.system.allowed, cone.system.domain])):
            _reach(cone, roots, depth, near)
        driven = {source for source in near if leaves(_causes(cone, source))[Op.PICK]}
        return cls(cone, near, frozenset(driven), _bundles(cone, near.keys()), loops)

    def goes_round(self) -> bool:
        """Whether some registers and clocks hang on one another, so that there are loops."""
        reads = {source: _read(self.cone, source) - {source} for source in self.near}
        try:
            TopologicalSorter(reads).prepare()
        except CycleError:
            return True
        return False

    def first(self, sources: AbstractSet[Source]) -> Kept:
        """Return what to keep of what an alarm hangs on; nothing of nothing."""
        self.alarms.update(sources)
        known = sources - self.driven or sources
        often = max((self.alarms[source] for source in known), default=0)
        known = {source for source in known if self.alarms[source] == often}
        soonest = min((self.near[source] for source in known), default=0)
        chosen = self._together({source for source in known if self.near[source] == soonest})
        chosen = chosen.union(*(self.bundles.get(source, ()) for source in chosen))
        if self.loops:
            chosen = chosen.union(*map(self._loop, chosen))
        return Kept.of(chosen)

    def _loop(self, source: Source) -> set[Source]:
        """Return what a register or clock hangs on and what hangs on it in turn."""
        near = self._behind(source) & self.near.keys()
        return {one for one in near if source in self._behind(one)}

    def _together(self, sources: AbstractSet[Source]) -> set[Source]:
        """Return the largest group of these that hang on something in common.

        Among groups of a size the one with most clocks, then the one that hangs on least.
        """
        groups: list[tuple[set[Source], set[Source]]] = []
        for source in sorted(sources, key=_place):
            members, reads = {source}, {source, *self._behind(source)}
            for other in [one for one in groups if one[1] & reads]:
                groups.remove(other)
                members |= other[0]
                reads |= other[1]
            groups.append((members, reads))
        return min(groups, key=_rank)[0] if groups else set()

    def _behind(self, source: Source) -> AbstractSet[Source]:
        """Return all that a register or clock depends on over any number of ticks."""
        found = self._known.get(source)
        if found is None:
            part = behind(self.cone.system, _causes(self.cone, source))
            found = {(Op.REGISTER, index) for index in part.registers}
            found |= {(Op.ABOVE, index) for index in part.clocks}
            self._known[source] = found
        return found


def _rank(group: tuple[set[Source], set[Source]]) -> tuple[int, int, int, tuple[str, int]]:
    members, reads = group
    clocks = sum(op is Op.ABOVE for op, _ in members)
    return -len(members), -clocks, len(reads), min(map(_place, members))


def _place(source: Source) -> tuple[str, int]:
    op, index = source
    return op.value, index


def _causes(cone: Cone, source: Source) -> list[Node]:
    """Return the conditions that a register or clock hangs on in one tick."""
    op, index = source
    if op is Op.REGISTER:
        return [cone.system.registers[index].next]
    clock = cone.system.clocks[index]
    return [clock.runs, *(load.when for load in clock.loads)]


def _read(cone: Cone, source: Source) -> set[Source]:
    """Return the registers and clocks that a register or clock hangs on in one tick."""
    read = leaves(_causes(cone, source))
    return {(op, index) for op in (Op.REGISTER, Op.ABOVE) for index in read[op]}


def _reach(cone: Cone, roots: list[Node], depth: int, near: dict[Source, int]) -> None:
    while roots:
        read = leaves(roots)
        fresh = [
            (op, index)
            for op in (Op.REGISTER, Op.ABOVE)
            for index in sorted(read[op])
            if (op, index) not in near
        ]
        near.update(dict.fromkeys(fresh, depth))
        roots = [node for source in fresh for node in _causes(cone, source)]
        depth += 1


def _bundles(cone: Cone, known: AbstractSet[Source]) -> dict[Source, frozenset[Source]]:
    found: dict[Source, frozenset[Source]] = {}
    for bits in cone.system.shown.values():
        sources = {(node.op, node.data[0]) for node in bits.nodes if node.op is Op.REGISTER}
        bundle = frozenset(sources & known)
        found.update(dict.fromkeys(bundle, bundle))
    return found
