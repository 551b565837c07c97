"""All engines there are, in the order in which they are tried, with their share of the effort.

What one engine leaves of its share goes to those behind it. The order is measured: cheap and likely
first; the same for everyone, so that the same seed and effort give the same answer.
"""

from dataclasses import dataclass

from verifier.engines.bounded import Bounded
from verifier.engines.contract import Engine
from verifier.engines.endless import Endless
from verifier.engines.explicit import Explicit
from verifier.engines.localise import Localise
from verifier.engines.recurrence import Recurrence
from verifier.engines.structural import Structural
from verifier.engines.waits import Waits
from verifier.engines.walk import Walk
from verifier.engines.ways import Ways
from verifier.engines.zones import Zones


@dataclass(frozen=True, slots=True)
class Turn:
    """An engine and the part of the effort that it may use, 1 for all that is left."""

    engine: Engine
    share: float


ENGINES: tuple[Turn, ...] = (
    Turn(Recurrence(), 1.0),
    Turn(Localise(), 0.03),
    Turn(Walk(), 0.04),
    Turn(Structural(), 0.05),
    Turn(Localise(), 0.25),
    Turn(Zones(), 0.25),
    Turn(Endless(), 0.1),
    Turn(Walk(luck=1), 0.4),
    Turn(Explicit(), 0.3),
    Turn(Ways(), 0.5),
    Turn(Waits(), 0.5),
    Turn(Bounded(), 1.0),
)
