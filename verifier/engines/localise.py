"""Zones on cut models: keep little, free the rest, and take back what a false alarm hangs on.

The first model keeps nothing: every register and clock may have any value at any tick. Where the
target is met, the way there tells which freed ones had to have one value rather than another; some
of these are kept from then on. An invariant of a cut model is one of the whole, since the whole has
no run that the cut model lacks.

Method: localisation reduction, R. P. Kurshan, "Computer-aided verification of coordinating
processes", 1994; refinement along the abstract way after E. Clarke, O. Grumberg, S. Jha, Y. Lu and
H. Veith, "Counterexample-guided abstraction refinement", CAV 2000.
"""

from dataclasses import dataclass

from verifier.engines.contract import Budget, Task
from verifier.engines.pieces import joined, pieces
from verifier.engines.zones import COARSE_TO_FINE, MET, SUITED, UNSUITED
from verifier.engines.zones_frame import Frame, Kept, framed, narrowed_sources
from verifier.engines.zones_keep import Order, Source
from verifier.engines.zones_proof import invariant
from verifier.engines.zones_search import Covered, Met, Search
from verifier.engines.zones_split import causes
from verifier.system.expr import Op
from verifier.verdict.evidence import Evidence, Invariant, Stopped, Why

NO_LOOPS = Stopped(Why.NOT_SUITED, "nothing hangs on one another")
ALL_LOOPS = Stopped(Why.NOT_SUITED, "all of it hangs on one another")


@dataclass(frozen=True, slots=True)
class Localise:
    """Explores a part of the cone that grows by what false alarms hang on.

    `loops`: what hangs on one another is kept together (zones_keep.py).
    """

    loops: bool = False
    most: int = 20_000
    name: str = "localise"
    description: str = "proves claims for ever that hang on a small part of a large design"

    def run(self, task: Task, budget: Budget) -> Evidence | Stopped:
        """Return an invariant over what was kept, or say how far the search came."""
        if task.asked not in SUITED:
            return UNSUITED
        proofs = []
        for piece in pieces(task):
            found = self._piece(piece, budget)
            if isinstance(found, Stopped):
                return found
            proofs.append(found)
        return joined(task.cone.system.pool, proofs)

    def _piece(self, task: Task, budget: Budget) -> Invariant | Stopped:
        anywhere = task.question.anywhere
        order = Order.of(task.cone, task.target, loops=self.loops)
        if self.loops and not order.goes_round():
            return NO_LOOPS
        kept = Kept.nothing()
        settings = iter(COARSE_TO_FINE)
        setting = next(settings, None)
        size = len(task.cone.registers) + len(task.cone.clocks)
        while setting is not None:
            if self.loops and len(kept) == size:
                return ALL_LOOPS  # that is for zones without cuts
            frame = framed(task.cone, task.target, kept, anywhere=anywhere)
            match Search(frame, setting, budget).run(anywhere=anywhere, most=self.most):
                case Covered(keys):
                    return Invariant(invariant(frame, keys))
                case Stopped(why, words):
                    return Stopped(why, f"{words}, {len(kept)} of {size} registers and clocks kept")
                case Met() as met:
                    more = order.first(missed(frame, met))
                    kept = kept.and_also(more)
                    if not more:
                        setting = next(settings, None)
        return MET


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
