"""Zones on cut models: keep little, free the rest, and take back what a false alarm hangs on.

The first model keeps nothing but what the target itself reads; everything else may take any value at
any tick. Where the target is met, the way there tells which freed registers and clocks had to take
one value rather than another: these are kept from then on. An invariant of a cut model is one of the
whole, since the whole has no run that the cut model lacks.

Method: localisation reduction, R. P. Kurshan, "Computer-aided verification of coordinating processes",
1994; refinement along the abstract way after E. Clarke, O. Grumberg, S. Jha, Y. Lu and H. Veith,
"Counterexample-guided abstraction refinement", CAV 2000.
"""

from dataclasses import dataclass

from verifier.engines.contract import Budget, Task
from verifier.engines.zones import COARSE_TO_FINE, SUITED
from verifier.engines.zones_frame import Frame, Kept, framed, narrowed_sources
from verifier.engines.zones_proof import invariant
from verifier.engines.zones_search import Covered, Met, Search
from verifier.engines.zones_split import causes
from verifier.system.expr import Node, Op
from verifier.system.fold import leaves
from verifier.system.model import Cone
from verifier.verdict.evidence import Evidence, Invariant, Stopped, Why


def missed(frame: Frame, met: Met) -> set[tuple[Op, int]]:
    """Return the freed registers and clocks that the way to the target hangs on.

    From the target back: what each step narrows, and where that is a kept register which the step
    before left open, what it copied there.
    """
    found: set[tuple[Op, int]] = set()
    opened = (
        0  # kept registers that must come out narrowed, though the step before leaves them open
    )
    for key, effect in reversed(met.way):
        leaves = causes(frame, effect.box, opened)
        found |= narrowed_sources(frame, effect.box)
        found |= {
            leaf.source
            for leaf in leaves
            if leaf.yes & frame.free and leaf.source[0] is not Op.PICK
        }
        copied = sum({leaf.yes | leaf.no for leaf in leaves})
        whole = effect.box | copied
        opened = 0
        for bit in frame.bits:
            if key & bit.both == bit.both and (
                effect.box & bit.both != bit.both or copied & bit.both
            ):
                opened |= bit.both
    return found


def layers(cone: Cone, target: Node) -> dict[tuple[Op, int], int]:
    """Return how many ticks back from the target each register and clock is first read."""
    system = cone.system
    found: dict[tuple[Op, int], int] = {}
    fresh, depth = [target], 0
    while fresh:
        read = leaves(fresh)
        fresh = []
        for index in read[Op.REGISTER]:
            if found.setdefault((Op.REGISTER, index), depth) == depth:
                fresh.append(system.registers[index].next)
        for index in read[Op.ABOVE]:
            if found.setdefault((Op.ABOVE, index), depth) == depth:
                clock = system.clocks[index]
                fresh += [clock.runs, *(load.when for load in clock.loads)]
        depth += 1
    return found
