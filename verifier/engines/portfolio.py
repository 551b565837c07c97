"""All engines there are, in the order in which they are tried, with their shares of the effort.

The order is measured: cheap and likely first; the same for everyone. A share is an engine's own,
whatever those before it used up, so that the same seed and effort give the same answer in one
process and in two (engines/race.py).
"""

from dataclasses import dataclass
from enum import Enum

from verifier.engines.bounded import Bounded
from verifier.engines.contract import Engine
from verifier.engines.endless import Endless
from verifier.engines.explicit import Explicit
from verifier.engines.induction import Induction
from verifier.engines.localise import Localise
from verifier.engines.recurrence import Recurrence
from verifier.engines.spacer import Spacer
from verifier.engines.structural import Structural
from verifier.engines.trails import Trails
from verifier.engines.waits import Waits
from verifier.engines.walk import Walk
from verifier.engines.ways import Ways
from verifier.engines.zones import Zones


class Side(Enum):
    """What evidence says of the target, and which of two processes an engine works in."""

    PROVE = "prove"  # it is never met; what is waited for comes; it can be reached from everywhere
    REFUTE = "refute"  # a run shows otherwise


@dataclass(frozen=True, slots=True)
class Turn:
    """An engine, the part of the effort that it may use, and its side; `both`: it may do either.

    Engines of the refuting side hand in plain values only (no nodes), as they may have to be sent.
    """

    engine: Engine
    share: float
    side: Side
    both: bool = False

    def can(self, side: Side) -> bool:
        """Whether it may hand in evidence of a side."""
        return self.both or side is self.side


ENGINES: tuple[Turn, ...] = (
    Turn(Recurrence(), 0.1, Side.PROVE, both=True),
    Turn(Localise(), 0.05, Side.PROVE),
    Turn(Walk(share=0.3), 0.08, Side.REFUTE),
    Turn(Structural(), 0.05, Side.PROVE),
    Turn(Zones(), 0.05, Side.PROVE),
    Turn(Explicit(most=3000), 0.04, Side.REFUTE, both=True),
    Turn(Trails(), 0.1, Side.REFUTE),
    Turn(Walk(luck=1), 0.5, Side.REFUTE),
    Turn(Spacer(seeds=1), 0.15, Side.PROVE),
    Turn(Localise(loops=True), 0.12, Side.PROVE),
    Turn(Localise(), 1.0, Side.PROVE),
    Turn(Trails(), 0.8, Side.REFUTE),
    Turn(Bounded(share=0.0), 0.55, Side.REFUTE, both=True),
    Turn(Zones(), 0.4, Side.PROVE),
    Turn(Endless(), 0.1, Side.REFUTE),
    Turn(Induction(), 0.25, Side.PROVE),
    Turn(Localise(), 1.5, Side.PROVE),
    Turn(Spacer(), 0.4, Side.PROVE),
    Turn(Explicit(), 0.3, Side.REFUTE, both=True),
    Turn(Ways(), 0.5, Side.PROVE, both=True),
    Turn(Waits(), 0.5, Side.PROVE),
    Turn(Recurrence(), 0.85, Side.PROVE, both=True),
    Turn(Bounded(), 0.8, Side.REFUTE, both=True),
    Turn(Explicit(), 1.2, Side.REFUTE, both=True),
)
