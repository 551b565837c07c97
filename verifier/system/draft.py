"""A system in the making: registers and clocks are added while expressions over them are made."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from verifier.system.expr import Node, Pool
from verifier.system.model import Choice, Clock, Load, Register
from verifier.system.numbers import Arithmetic


@dataclass(slots=True)
class _Bit:
    name: str
    start: bool
    kept: bool
    next: Node | None = None


@dataclass(slots=True, eq=False)
class Draft:
    """What lowering has made so far."""

    pool: Pool = field(default_factory=Pool)
    choices: list[Choice] = field(default_factory=list)
    arithmetic: Arithmetic = field(init=False)
    _bits: list[_Bit] = field(default_factory=list)
    _clocks: list[Clock | None] = field(default_factory=list)
    _before: dict[int, Node] = field(default_factory=dict)
    _names: Counter[str] = field(default_factory=Counter)

    def __post_init__(self) -> None:
        """Work with numbers over the same pool."""
        self.arithmetic = Arithmetic(self.pool)

    def _own_name(self, name: str) -> str:
        self._names[name] += 1
        return name if self._names[name] == 1 else f"{name} ({self._names[name]})"

    def register(self, name: str, *, start: bool = False, kept: bool = False) -> Node:
        """Add a register whose next value follows by `becomes`."""
        self._bits.append(_Bit(self._own_name(name), start, kept))
        return self.pool.register(len(self._bits) - 1)

    def becomes(self, register: Node, value: Node) -> None:
        """Set what the register is at the next tick."""
        self._bits[register.data[0]].next = value

    def previous(self, node: Node, name: str) -> Node:
        """Return: the node was live a tick ago, and there was a tick ago."""
        if node is self.pool.no:
            return node
        if node.number not in self._before:
            register = self.register(name)
            self.becomes(register, node)
            self._before[node.number] = register
        return self._before[node.number]

    def held(self, name: str, within: Node, start: Node) -> tuple[Node, Node]:
        """Return a memory as it stood before this tick, and with this tick.

        It is set by `start` and kept for as long as `within` holds without a gap.
        """
        before = self.register(name)
        now = self.pool.and_(within, self.pool.or_(start, before))
        self.becomes(before, now)
        return before, now

    def open_clock(self) -> int:
        """Add a clock whose loads follow by `set_clock`; return its index."""
        self._clocks.append(None)
        return len(self._clocks) - 1

    def set_clock(self, index: int, clock: Clock) -> None:
        """Say what the clock is, without loads that never hold or never get their turn."""
        loads: list[Load] = []
        for load in clock.loads:
            if load.when is not self.pool.no:
                loads.append(load)
            if load.when is self.pool.yes:
                break
        name = self._own_name(clock.name)
        self._clocks[index] = Clock(name, clock.start, tuple(loads), clock.runs, clock.kept)

    def countdown(self, name: str, loads: Sequence[Load], *, start: int = 0) -> Node:
        """Add a clock of a monitor, always running; return: it shows more than 0."""
        clock = Clock(name, start, tuple(loads), self.pool.yes, kept=False)
        if clock.longest == 0:
            return self.pool.no
        index = self.open_clock()
        self.set_clock(index, clock)
        return self.pool.above(index, 0)

    def registers(self) -> tuple[Register, ...]:
        """Return the registers, all of them with their next values."""
        made = []
        for bit in self._bits:
            if bit.next is None:
                raise AssertionError(f"register {bit.name} has no next value")
            made.append(Register(bit.name, bit.start, bit.next, bit.kept))
        return tuple(made)

    def clocks(self) -> tuple[Clock, ...]:
        """Return the clocks, all of them set."""
        made = []
        for index, clock in enumerate(self._clocks):
            if clock is None:
                raise AssertionError(f"clock {index} was never set")
            made.append(clock)
        return tuple(made)
