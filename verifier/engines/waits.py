"""What must come in the end, by a bound: no run waits for longer than some ticks.

A wait without end is a wait of any length, so excluding waits of more than D ticks is enough. D is
twice the sum of all spans at first, and is doubled where that is not enough.
"""

from dataclasses import dataclass

from verifier.engines.contract import Asked, Budget, Task
from verifier.engines.ways import proof_of_never
from verifier.verdict.evidence import Evidence, Patient, Stopped, Why
from verifier.verdict.variant import patience


@dataclass(frozen=True, slots=True)
class Waits:
    """Proves that waiting has an end, by zones over the system with a clock that counts it."""

    doublings: int = 2
    name: str = "waits"
    description: str = "proves that what is waited for comes, by a bound on the wait"

    def run(self, task: Task, budget: Budget) -> Evidence | Stopped:
        """Return a bound on waiting with its proof."""
        if task.asked is not Asked.WAITING:
            return Stopped(Why.NOT_SUITED, "made for what must come in the end")
        system, anywhere = task.cone.system, task.question.anywhere
        ticks = 16 + 2 * sum(system.clocks[index].longest for index in task.cone.clocks)
        for _ in range(1 + self.doublings):
            variant = patience(system, task.target, ticks)
            part = budget.slice(budget.left() / 2)
            target = variant.target
            node = proof_of_never(task, variant.system, target, part, anywhere=anywhere)
            budget.use(part.used)
            if node is not None:
                return Patient(ticks, node)
            ticks *= 2
        return Stopped(Why.NOTHING, f"no bound up to {ticks // 2} ticks was proved")
