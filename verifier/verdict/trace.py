"""Runs as engines hand them in and reports show them."""

from dataclasses import dataclass, replace

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

    def first(self, ticks: int) -> "Trace":
        """Return its first so many ticks, all of it where it has no more."""
        steps: list[Step] = []
        for step in self.steps:
            if ticks > 0:
                steps.append(replace(step, ticks=min(step.ticks, ticks)))
                ticks -= step.ticks
        return Trace(tuple(steps), self.start)


@dataclass(frozen=True, slots=True)
class Lasso:
    """An endless run: the trace, then its ticks from `back_to` on again and again.

    The state after the last tick of the trace equals the state at tick `back_to`.
    """

    trace: Trace
    back_to: int
