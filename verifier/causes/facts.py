"""Facts of a run that can be causes: who has which value, from when to when."""

from dataclasses import dataclass
from enum import Enum


class Kind(Enum):
    """What a fact tells of its item."""

    VALUE = "value"  # a net has a value
    RUNS = "runs"  # a timer shows more than `bound`
    OVER = "over"  # a timer shows no more than `bound`
    STARTED = "started"  # a timer is loaded with `value` ticks at tick `tick`, and shows them next


@dataclass(frozen=True, slots=True)
class Fact:
    """At tick `tick` the item of this path is so, from tick `since` up to, not with, `until`.

    `value` is the number on a net (flags 0 and 1, choices the position of the option), or the ticks
    that a timer shows; `bound` is only for timers. `first`: it was so from the very start.
    """

    kind: Kind
    path: str
    tick: int
    since: int
    until: int
    value: int
    bound: int = 0

    @property
    def first(self) -> bool:
        """Whether it was so from tick 0 on, by no cause within the run."""
        return self.since == 0 and self.kind is not Kind.STARTED


@dataclass(frozen=True, slots=True, eq=False)
class Why:
    """A fact, and the facts that made it so; together these were enough.

    `proved`: in the same run with this fact changed, the outcome does not come, or at another tick.
    """

    fact: Fact
    causes: tuple["Why", ...] = ()
    proved: bool = False
