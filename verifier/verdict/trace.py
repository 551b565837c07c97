"""Runs as engines hand them in and reports show them."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class State:
    """Registers and clocks (in ticks) of the whole system at one tick, by index."""

    registers: tuple[bool, ...]
    clocks: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """`ticks` (1 or more) ticks with the same choices and the same draws.

    `choices[i]` is the position chosen of choice i. `draws[i]` is what clock i shows next if a load
    of it with a range is taken in this step, 0 where none is (any value is then ignored).
    """

    choices: tuple[int, ...]
    draws: tuple[int, ...]
    ticks: int


@dataclass(frozen=True, slots=True)
class Trace:
    """A finite run: tick 0 up to `length` - 1; what it shows happens at its last tick.

    `start` is None for the start values of the design, else the state at tick 0 (from anywhere).
    """

    steps: tuple[Step, ...]
    start: State | None = None

    @property
    def length(self) -> int:
        """Number of ticks."""
        return sum(step.ticks for step in self.steps)


@dataclass(frozen=True, slots=True)
class Lasso:
    """An endless run: the trace, then its ticks from `back_to` on again and again.

    The state after the last tick of the trace equals the state at tick `back_to`.
    """

    trace: Trace
    back_to: int
