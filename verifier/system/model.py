"""A system: choices, registers, clocks, and the questions asked of it.

One tick: from the registers and clocks and from the choices of this tick follow all values of this
tick and the registers and clocks of the next one. See docs/semantics.md for the meaning in full.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from verifier.design.model import Claim, Design
from verifier.system.expr import Node, Pool


@dataclass(frozen=True, slots=True)
class Choice:
    """A choice of people or surroundings, anew each tick: a position in `options`, 0 is rest."""

    name: str
    options: tuple[str, ...]
    is_press: bool


@dataclass(frozen=True, slots=True)
class Register:
    """One bit of state: `kept` bits are the design's, others those of edges, monitors and presses.

    Asked `from anywhere`, kept bits start free (within `System.domain`), the others at `start`.
    """

    name: str
    start: bool
    next: Node
    kept: bool


@dataclass(frozen=True, slots=True)
class Load:
    """While `when` holds the clock shows `low` .. `high` (drawn) at the next tick.

    With `turned` it shows `low` less what it shows now (never below 0), and low equals high.
    """

    when: Node
    low: int
    high: int
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Clock:
    """A count of ticks: the first load that holds, else one less (not below 0) while `runs`."""

    name: str
    start: int
    loads: tuple[Load, ...]
    runs: Node
    kept: bool

    @property
    def longest(self) -> int:
        """The most ticks it can ever show."""
        return max([self.start, *(load.high for load in self.loads)])

    @property
    def ranged(self) -> bool:
        """Whether some load draws its span."""
        return any(load.low != load.high for load in self.loads)


class Form(Enum):
    """How a claim is answered."""

    AVOID = "avoid"  # fails where a run meets `bad`
    REACH = "reach"  # holds where some run meets `goal`
    AGAIN = "again"  # as AVOID; also fails where from some tick on `waiting` holds for ever
    OPEN = "open"  # always possible: holds where `goal` can be reached from every reachable state


@dataclass(frozen=True, slots=True)
class Question:
    """A claim made ready for engines.

    `bad`: the claim is broken at this tick (no for REACH and OPEN). `goal`: what is to be reached
    (REACH: time limit included; OPEN: without). `limit`: ticks after which `goal` or `bad` cannot
    change any more, None where there is no such bound. `waiting`: AGAIN only. `trigger`: where it
    is never true the claim is empty (None: the form cannot be empty). `anywhere`: any kept start.
    `whatever`: spans are to be drawn against the one who wants the goal.
    """

    name: str
    form: Form
    bad: Node
    goal: Node
    waiting: Node
    trigger: Node | None
    limit: int | None
    anywhere: bool
    whatever: bool
    claim: Claim


@dataclass(frozen=True, slots=True)
class Bits:
    """How the value of a net or timer reads from the system.

    Flag: one node. Number: value is `low` plus how many of the nodes are live (thermometer).
    Choice: one node an option. `timer` names the index of a clock instead of nodes.
    """

    nodes: tuple[Node, ...]
    low: int = 0
    timer: int | None = None


@dataclass(frozen=True, slots=True, eq=False)
class System:
    """All of a design as Booleans and clocks.

    `allowed` must hold at each tick of a run (assumptions and `one press at a time`); where it is
    not the constant yes, a run also counts only if it can go on for ever so. `domain` bounds kept
    values for questions asked from anywhere. `shown` maps the path of each net and timer to its
    bits.
    """

    design: Design
    pool: Pool
    choices: tuple[Choice, ...]
    registers: tuple[Register, ...]
    clocks: tuple[Clock, ...]
    allowed: Node
    domain: Node
    questions: tuple[Question, ...]
    shown: Mapping[str, Bits]


@dataclass(frozen=True, slots=True, eq=False)
class Cone:
    """The part of a system that some roots depend on: indices, in rising order.

    `allowed` is always among the roots. Choices, registers and clocks outside keep their places in
    states and traces; they rest at 0 there and mean nothing.
    """

    system: System
    roots: tuple[Node, ...]
    choices: tuple[int, ...]
    registers: tuple[int, ...]
    clocks: tuple[int, ...]
