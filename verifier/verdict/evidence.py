"""What engines hand in: never a verdict, only evidence for the judge to look at."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from verifier.system.expr import Node
from verifier.verdict.trace import Lasso, State, Trace


class Asked(Enum):
    """What is to be looked for."""

    BAD = "bad"  # a run that meets the target: the claim then fails
    GOAL = "goal"  # a run that meets the target: the claim then holds
    TRIGGER = "trigger"  # a run that meets the target: the claim is then not empty
    WAITING = "waiting"  # an endless run that has the target at every tick from some tick on
    OPEN = "open"  # a reachable state from which the target cannot be reached any more


@dataclass(frozen=True, slots=True)
class Reaches:
    """A run that meets its target at its last tick; `earliest`: no run meets it sooner.

    `onward` tells how it goes on for ever, where there are assumptions.
    """

    trace: Trace
    earliest: bool = False
    onward: Lasso | None = None


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

    def short_of(self, horizon: int | None) -> bool:
        """Whether it ends before a horizon (None: there is no last tick)."""
        return self.until is not None and (horizon is None or self.until < horizon)


@dataclass(frozen=True, slots=True)
class Invariant:
    """A condition over registers and clocks that all reachable states meet and excludes bad.

    It is kept by induction over `ticks` ticks: the first `ticks` states of any run meet it, and so
    does the state after any `ticks` allowed ticks in a row from states that do.
    """

    node: Node
    ticks: int = 1


@dataclass(frozen=True, slots=True)
class Explored:
    """All states of a cone that can be reached, each with a rank (see verdict/explored.py).

    What stands outside the cone shows False and 0. `dead` are the states from which no run goes on
    for ever within the assumptions, each with a rank of its own: every allowed tick leads from it
    to a dead state of lower rank. Ticks into dead states do not count.
    """

    states: Mapping[State, int]
    dead: Mapping[State, int]


@dataclass(frozen=True, slots=True)
class Trapped:
    """A run to a state from which the goal is out of reach, and what shows that it is.

    For ever, where `beyond` is None: `inside` lists all that can be reached from there, or is an
    invariant of the system begun there. Else at the ticks 0 .. `beyond` after the run: `inside`
    lists all states that can be reached at all, with their ranks (that of the one after the run is
    `beyond` + 1), or is an invariant of the system begun there with a clock that tells its age
    (verdict/variant.py). `onward` tells how the run goes on for ever, where there are assumptions.
    """

    trace: Trace
    inside: Explored | Invariant
    onward: Lasso | None = None
    beyond: int | None = None


@dataclass(frozen=True, slots=True)
class Act:
    """Choices that are held for so many ticks; the last act of a script goes on for ever."""

    choices: tuple[int, ...]
    ticks: int


@dataclass(frozen=True, slots=True)
class Guided:
    """From every state that can be reached, acting by a script meets the goal in `within` ticks.

    `node` is an invariant of the system so guided, see verdict/variant.py.
    """

    script: tuple[Act, ...]
    within: int
    node: Node


@dataclass(frozen=True, slots=True)
class Patient:
    """No run waits for more than so many ticks on end; `node` is an invariant that shows it.

    It is one of the system with a clock that counts waiting, see verdict/variant.py.
    """

    ticks: int
    node: Node


@dataclass(frozen=True, slots=True)
class Certain:
    """Who chooses as in a run meets the goal within so many ticks, whatever spans are drawn.

    `trace` is one such run, and meets it. `node` is an invariant of the system in which people
    choose so from the start, see verdict/variant.py.
    """

    trace: Trace
    within: int
    node: Node


@dataclass(frozen=True, slots=True)
class Foiled:
    """Where all spans come out longest, or all shortest, no choices meet the goal.

    `node` is an invariant of the system with these spans, see verdict/variant.py.
    """

    longest: bool
    node: Node


Evidence = (
    Reaches
    | Circles
    | Closed
    | Invariant
    | Explored
    | Trapped
    | Guided
    | Patient
    | Certain
    | Foiled
)


@dataclass(frozen=True, slots=True)
class Proof:
    """Evidence that the judge accepts, and what it is about."""

    asked: Asked
    evidence: Evidence


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
