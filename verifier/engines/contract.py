"""What every engine is: a frozen dataclass that turns a task into evidence, within a budget.

Effort is counted in nominal seconds: each engine knows, as a measured constant, what one of its own
steps costs on a usual machine and books that with `Budget.use`. So the same seed and effort give
the same answer everywhere; the time that the process was at work only guards against a much slower
machine. A machine that is busy with other things makes answers late, not different.
"""

import resource
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from verifier.system.expr import Node
from verifier.system.model import Cone, Question
from verifier.verdict.evidence import Asked, Evidence, Stopped

__all__ = ["Asked", "Budget", "Engine", "Task", "megabytes"]

MEGABYTE = 1 << 20

BUSY = 4
"""So many times as long as it works a process may take on a busy machine."""

WEIGH_EVERY = 0.02
"""Seconds between two looks at the memory that is held."""


@dataclass(frozen=True, slots=True)
class Task:
    """One thing to look for in one cone; `target` and `system.allowed` are among the cone's roots.

    `horizon` is the last tick of interest (a meeting after it is of no use), None where there is no
    such bound. Runs start at the start values, or, where `question.anywhere` is set, with kept
    registers and clocks free within `system.domain`.

    Evidence of a task for BAD, GOAL or TRIGGER: `Reaches` where a run meets the target; `Closed` or
    `Invariant` (the node excludes the target) where none does. For WAITING and OPEN: `Circles`.
    """

    cone: Cone
    question: Question
    asked: Asked
    target: Node
    horizon: int | None
    seed: int


def _never() -> bool:
    return False


@dataclass(slots=True, eq=False)
class Budget:
    """How much an engine may use up: nominal seconds, time at work, memory; a way to be stopped.

    `deadline` is a value of `time.process_time()`; `memory` the most megabytes of this process.
    """

    effort: float
    deadline: float
    memory: int = 2048
    cancelled: Callable[[], bool] = _never
    used: float = 0.0
    _weigh_at: float = 0.0
    _too_large: bool = False

    @classmethod
    def of(cls, effort: float, patience: float = 8.0, memory: int = 2048) -> "Budget":
        """Return so many nominal seconds; this process may work `patience` times as long."""
        return cls(effort, time.process_time() + effort * patience, memory)

    def slice(self, effort: float, patience: float = 8.0) -> "Budget":
        """Return a smaller budget inside this one; book its `used` here afterwards."""
        effort = max(0.0, min(effort, self.effort - self.used))
        deadline = min(self.deadline, time.process_time() + effort * patience)
        return Budget(effort, deadline, self.memory, self.cancelled)

    def use(self, effort: float) -> None:
        """Book nominal seconds."""
        self.used += effort

    def left(self) -> float:
        """Return the nominal seconds left; 0 once time or memory ran out."""
        return 0.0 if self.spent() else self.effort - self.used

    def seconds(self) -> float:
        """Return seconds on the wall for limits of solvers, never below 0: generous, see `left`."""
        return max(0.0, self.deadline - time.process_time()) * BUSY

    def spent(self) -> bool:
        """Whether to stop now. Costs about a microsecond: ask at each step that costs more."""
        if self.used >= self.effort or self.cancelled():
            return True
        now = time.process_time()
        if now >= self._weigh_at:
            self._weigh_at = now + WEIGH_EVERY
            self._too_large = megabytes() > self.memory
        return self._too_large or now >= self.deadline


def megabytes() -> float:
    """Return the memory that this process holds, or the most it has held where no more is known."""
    try:
        with open("/proc/self/statm", encoding="ascii") as figures:  # noqa: PTH123 - no real file
            return int(figures.read().split()[1]) * resource.getpagesize() / MEGABYTE
    except OSError:
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        return peak / MEGABYTE if sys.platform == "darwin" else peak / 1024


class Engine(Protocol):
    """A technique; options are further fields of the dataclass, with defaults."""

    @property
    def name(self) -> str:
        """One word, shown in answers."""

    @property
    def description(self) -> str:
        """What it does and what it is good at, in one line."""

    def run(self, task: Task, budget: Budget) -> Evidence | Stopped:
        """Look for evidence; must never raise for want of time, memory or luck."""
