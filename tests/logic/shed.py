"""A few lines that make systems of registers, clocks and choices for questions to the judge."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from tests.bank.plants import finished
from tests.engines.zones.workshop import Bench
from verifier.logic.tick import Limits
from verifier.system.expr import Node, Pool
from verifier.system.model import Clock, Load, Register, System

LIMITS = Limits(steps=10_000_000, seconds=20)


@dataclass(slots=True)
class Shed:
    """Parts are added one by one; what hangs on others is set when they are there."""

    bench: Bench = field(default_factory=Bench)
    registers: list[Register] = field(default_factory=list)
    clocks: list[Clock] = field(default_factory=list)

    @property
    def pool(self) -> Pool:
        """Where the expressions live."""
        return self.bench.pool

    def choice(self, name: str, options: int = 2) -> Node:
        """Add a choice; return: it stands at option 1."""
        return self.bench.choice(name, options)

    def bit(self, name: str, *, start: bool = False, kept: bool = True) -> Node:
        """Add a register that stays as it is."""
        node = self.pool.register(len(self.registers))
        self.registers.append(Register(name, start, node, kept))
        return node

    def becomes(self, bit: Node, following: Node) -> None:
        """Set what a register is at the next tick."""
        index = bit.data[0]
        self.registers[index] = replace(self.registers[index], next=following)

    def clock(
        self, name: str, loads: Sequence[Load] = (), *, start: int = 0, kept: bool = True
    ) -> int:
        """Add a clock that runs always; return its index."""
        self.clocks.append(Clock(name, start, tuple(loads), self.pool.yes, kept))
        return len(self.clocks) - 1

    def runs(self, index: int, condition: Node) -> None:
        """Set when a clock runs."""
        self.clocks[index] = replace(self.clocks[index], runs=condition)

    def loads(self, index: int, *loads: Load) -> None:
        """Set the loads of a clock."""
        self.clocks[index] = replace(self.clocks[index], loads=loads)

    def system(self, *, allowed: Node | None = None, domain: Node | None = None) -> System:
        """Return the system."""
        pool = self.pool
        return replace(
            finished(self.bench),
            registers=tuple(self.registers),
            clocks=tuple(self.clocks),
            allowed=pool.yes if allowed is None else allowed,
            domain=pool.yes if domain is None else domain,
        )
