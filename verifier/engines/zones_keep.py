"""What a cut model keeps next, of all that a false alarm hangs on.

First what no choice drives at once: what people may set as they like rarely takes a way out of the
model. Of these, what the target reads soonest. The bits of one kept value (a place, a count) come
together: apart they would take on values that the whole never has.
"""

from collections.abc import Set as AbstractSet
from dataclasses import dataclass

from verifier.engines.zones_frame import Kept
from verifier.system.expr import Node, Op
from verifier.system.fold import leaves
from verifier.system.model import Cone

Source = tuple[Op, int]  # a register or (ABOVE) a clock, by index


@dataclass(frozen=True, slots=True, eq=False)
class Order:
    """In which order to keep the registers and clocks of a cone.

    `near`: how many ticks before the target each is first read; `driven`: those that a choice sets;
    `bundles`: the bits of a kept value, for each of them.
    """

    near: dict[Source, int]
    driven: frozenset[Source]
    bundles: dict[Source, frozenset[Source]]

    @classmethod
    def of(cls, cone: Cone, target: Node) -> "Order":
        """Return the order for a target; what only assumptions or the domain read comes last."""
        last = len(cone.registers) + len(cone.clocks)
        near: dict[Source, int] = {}
        for depth, roots in ((0, [target]), (last, [cone.system.allowed, cone.system.domain])):
            _reach(cone, roots, depth, near)
        driven = {source for source in near if leaves(_causes(cone, source))[Op.PICK]}
        return cls(near, frozenset(driven), _bundles(cone, near.keys()))

    def first(self, sources: AbstractSet[Source]) -> Kept:
        """Return what to keep of these; nothing of nothing."""
        known = sources - self.driven or sources
        soonest = min((self.near[source] for source in known), default=0)
        chosen = {source for source in known if self.near[source] == soonest}
        chosen = chosen.union(*(self.bundles.get(source, ()) for source in chosen))
        return Kept(
            frozenset(index for op, index in chosen if op is Op.REGISTER),
            frozenset(index for op, index in chosen if op is Op.ABOVE),
        )


def _causes(cone: Cone, source: Source) -> list[Node]:
    """Return the conditions that a register or clock hangs on in one tick."""
    op, index = source
    if op is Op.REGISTER:
        return [cone.system.registers[index].next]
    clock = cone.system.clocks[index]
    return [clock.runs, *(load.when for load in clock.loads)]


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
