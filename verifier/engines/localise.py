"""Zones on cut models: keep little, free the rest, and take back what a false alarm hangs on.

The first model keeps nothing: every register and clock may have any value at any tick. Where the
target is met, the way there tells which freed ones had to have one value rather than another; of
these the ones read nearest to the target are kept from then on. An invariant of a cut model is one
of the whole, since the whole has no run that the cut model lacks.

Method: localisation reduction, R. P. Kurshan, "Computer-aided verification of coordinating
processes", 1994; refinement along the abstract way after E. Clarke, O. Grumberg, S. Jha, Y. Lu and
H. Veith, "Counterexample-guided abstraction refinement", CAV 2000.
"""

from dataclasses import dataclass

from verifier.engines.contract import Budget, Task
from verifier.engines.zones import COARSE_TO_FINE, MET, SUITED, UNSUITED
from verifier.engines.zones_frame import Frame, Kept, framed, narrowed_sources
from verifier.engines.zones_proof import invariant
from verifier.engines.zones_search import Covered, Met, Search
from verifier.engines.zones_split import causes
from verifier.system.expr import Node, Op
from verifier.system.fold import leaves
from verifier.system.model import Cone
from verifier.verdict.evidence import Evidence, Invariant, Stopped

Source = tuple[Op, int]  # a register or (ABOVE) a clock, by index


@dataclass(frozen=True, slots=True)
class Localise:
    """Explores a part of the cone that grows by what false alarms hang on."""

    most: int = 20_000
    name: str = "localise"
    description: str = "proves claims for ever that hang on a small part of a large design"

    def run(self, task: Task, budget: Budget) -> Evidence | Stopped:
        """Return an invariant over what was kept, or say how far the search came."""
        if task.asked not in SUITED:
            return UNSUITED
        anywhere = task.question.anywhere
        near = layers(task.cone, task.target)
        kept = Kept.nothing()
        settings = iter(COARSE_TO_FINE)
        setting = next(settings, None)
        while setting is not None:
            frame = framed(task.cone, task.target, kept, anywhere=anywhere)
            match Search(frame, setting, budget).run(anywhere=anywhere, most=self.most):
                case Covered(keys):
                    return Invariant(invariant(frame, keys))
                case Stopped(why, words):
                    of = len(task.cone.registers) + len(task.cone.clocks)
                    return Stopped(why, f"{words}, {len(kept)} of {of} registers and clocks kept")
                case Met() as met:
                    more = nearest(missed(frame, met), near)
                    kept = kept.and_also(more)
                    if not more:
                        setting = next(settings, None)
        return MET


def nearest(sources: set[Source], near: dict[Source, int]) -> Kept:
    """Return those that the target reads soonest."""
    soonest = min((near[source] for source in sources), default=0)
    chosen = [source for source in sources if near[source] == soonest]
    return Kept(
        frozenset(index for op, index in chosen if op is Op.REGISTER),
        frozenset(index for op, index in chosen if op is Op.ABOVE),
    )


def missed(frame: Frame, met: Met) -> set[Source]:
    """Return the freed registers and clocks that the way to the target hangs on.

    From the target back: those that a step narrows, and, where a step narrows a kept register that
    the step before left open, those that it copied there.
    """
    found: set[Source] = set()
    opened = 0  # kept registers, in boxes, that the next step narrows though they come to it open
    for key, effect in reversed(met.way):
        found |= narrowed_sources(frame, effect.box)
        copied = causes(frame, effect.box, opened)
        found |= {leaf.source for leaf in copied if leaf.variable & frame.free}
        whole = effect.box & ~sum({leaf.variable for leaf in copied})
        opened = sum(
            bit.both
            for bit in frame.bits
            if key & bit.both == bit.both and whole & bit.both != bit.both
        )
    return {source for source in found if source[0] is not Op.PICK}


def layers(cone: Cone, target: Node) -> dict[Source, int]:
    """Return how many ticks before the target each register and clock is first read.

    What only the assumptions or the domain read comes last.
    """
    found: dict[Source, int] = {}
    last = len(cone.registers) + len(cone.clocks)
    for depth, roots in ((0, [target]), (last, [cone.system.allowed, cone.system.domain])):
        _reach(cone, roots, depth, found)
    return found


def _reach(cone: Cone, roots: list[Node], depth: int, found: dict[Source, int]) -> None:
    system = cone.system
    while roots:
        read = leaves(roots)
        roots = []
        for index in read[Op.REGISTER]:
            if (Op.REGISTER, index) not in found:
                found[Op.REGISTER, index] = depth
                roots.append(system.registers[index].next)
        for index in read[Op.ABOVE]:
            if (Op.ABOVE, index) not in found:
                found[Op.ABOVE, index] = depth
                clock = system.clocks[index]
                roots += [clock.runs, *(load.when for load in clock.loads)]
        depth += 1
