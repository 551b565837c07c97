"""What engines hand in: never a verdict, only evidence for the judge to look at."""

from dataclasses import dataclass
from enum import Enum

from verifier.system.expr import Node
from verifier.verdict.trace import Lasso, Trace


@dataclass(frozen=True, slots=True)
class Reaches:
    """A run that meets its target at its last tick; `earliest`: no run meets it sooner."""

    trace: Trace
    earliest: bool = False


@dataclass(frozen=True, slots=True)
class Circles:
    """An endless run that waits for ever (AGAIN), or the only run there is (closed cones)."""

    lasso: Lasso


@dataclass(frozen=True, slots=True)
class Closed:
    """No run meets the target at any tick 0 .. `until` (None: at any tick at all).

    `jumps` jumps cover all runs up to there.
    """

    until: int | None
    jumps: int


@dataclass(frozen=True, slots=True)
class Invariant:
    """A condition over registers and clocks that all reachable states meet and excludes bad."""

    node: Node


Evidence = Reaches | Circles | Closed | Invariant


class Why(Enum):
    """Why an engine stopped without evidence."""

    NOT_SUITED = "not suited"
    TIME = "out of time"
    SIZE = "too large"
    SOLVER = "solver gave up"
    NOTHING = "nothing found"


@dataclass(frozen=True, slots=True)
class Stopped:
    """An engine ended without evidence; `words` say how far it came."""

    why: Why
    words: str = ""
