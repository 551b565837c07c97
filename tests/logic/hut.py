"""A small plant for questions to the judge, and what becomes of evidence about it.

`open` is set by pressing `go` while `glass` shows 1 or less, and stays; the glass is loaded with 3
ticks by `go`, and runs; `worn` is set by a press of `spoil` and stays. Nothing opens what is worn.
"""

from dataclasses import dataclass, replace

from tests.logic.shed import LIMITS, Shed
from verifier.logic.judge import Case, Judged, judge
from verifier.system.expr import Node
from verifier.system.model import Load, System
from verifier.system.state import Step
from verifier.verdict.evidence import Evidence
from verifier.verdict.explored import Shows
from verifier.verdict.trace import Trace


@dataclass(frozen=True, slots=True)
class Hut:
    """The plant, and its conditions by name."""

    system: System
    go: Node
    spoil: Node
    opened: Node
    worn: Node

    @property
    def empty(self) -> Node:
        """The glass shows nothing."""
        return self.system.pool.not_(self.system.pool.above(0, 0))


def hut() -> Hut:
    shed = Shed()
    pool = shed.pool
    go, spoil = shed.choice("go"), shed.choice("spoil")
    opened, worn = shed.bit("open"), shed.bit("worn")
    glass = shed.clock("glass", [Load(go, 3, 3)])
    late = pool.not_(pool.above(glass, 1))
    shed.becomes(opened, pool.or_(opened, pool.and_(go, late, pool.not_(worn))))
    shed.becomes(worn, pool.or_(worn, spoil))
    return Hut(shed.system(), go, spoil, opened, worn)


HUT = hut()
SYSTEM, POOL = HUT.system, HUT.system.pool
DRAWN = replace(
    SYSTEM, clocks=(replace(SYSTEM.clocks[0], loads=(Load(HUT.go, 1, 3),)), *SYSTEM.clocks[1:])
)
"""The plant with a glass that is loaded with anything from 1 to 3 ticks."""
REST, GO, SPOIL = (Step(choices, (0,), 1) for choices in ((0, 0), (1, 0), (0, 1)))
OPENS = Trace((GO, REST))
WEARS = Trace((SPOIL,))
WORN = POOL.and_(HUT.worn, POOL.not_(HUT.opened))


def judged(
    evidence: Evidence,
    target: Node = HUT.opened,
    *,
    system: System = SYSTEM,
    anywhere: bool = False,
    shows: Shows = Shows.NEVER,
) -> Judged:
    return judge(Case(system, target, anywhere, shows), evidence, LIMITS)


def sound(
    evidence: Evidence,
    target: Node = HUT.opened,
    *,
    system: System = SYSTEM,
    anywhere: bool = False,
    shows: Shows = Shows.NEVER,
) -> bool:
    found = judged(evidence, target, system=system, anywhere=anywhere, shows=shows)
    return found.ruling.sound


def ruled_out(*names: str) -> System:
    """Return the plant where some conditions are assumed never to hold."""
    conditions = (getattr(HUT, name) for name in names)
    return replace(SYSTEM, allowed=POOL.not_(POOL.or_(*conditions)))
