"""Runs as engines hand them in and reports show them."""

from dataclasses import dataclass

from verifier.system.state import State, Step

__all__ = ["Lasso", "State", "Step", "Trace"]


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
