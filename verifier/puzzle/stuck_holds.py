"""What keeps people stuck: kept values that no choice can change any more and that bar the goal.

Of all registers and clocks that stay as they are from a state on, as few are kept as do it by
themselves: whatever all others show, each of these stays as it is in the next tick, and the goal is
out of reach as long as they do. That is an invariant, told in the builder's names.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from verifier.engines.contract import Budget
from verifier.puzzle.goal import Goal
from verifier.puzzle.space import Space, TooManyWaysError
from verifier.system.expr import Node, Op
from verifier.system.fold import replaced
from verifier.system.model import System
from verifier.verdict.trace import State
from verifier.verdict.variant import begun_at

MOST = 80
"""More values than this are not made fewer."""


@dataclass(frozen=True, slots=True)
class Hold:
    """Something that stays as it is: a kept net with all its value, or (`bit`) one fact of it.

    `path` is that of the net or timer; `value` what it stays at; for a timer 0. `bit` is the name
    of the register that stays `value` where the rest of the net may still change.
    """

    path: str
    value: int
    bit: str = ""


@dataclass(frozen=True, slots=True)
class _Fixed:
    """Registers with their values, and clocks that stay at 0."""

    registers: dict[int, bool]
    clocks: frozenset[int]

    def without_register(self, index: int) -> "_Fixed":
        return _Fixed({i: on for i, on in self.registers.items() if i != index}, self.clocks)

    def without_clock(self, index: int) -> "_Fixed":
        return _Fixed(self.registers, self.clocks - {index})


def holds_of(goal: Goal, after: State, budget: Budget) -> tuple[Hold, ...]:
    """Return what keeps a goal out of reach from a state on; nothing where that can't be told."""
    system = begun_at(goal.system, after)
    try:
        space = Space(system, goal.node, counts=False)
    except TooManyWaysError:
        return ()
    if space.explore(budget) is not None:
        return ()
    fixed = _constant(space)
    if len(fixed.registers) + len(fixed.clocks) > MOST or not _bars(system, goal.node, fixed):
        return ()
    return _told(system, after, fixed, _fewest(system, goal.node, fixed))


def _constant(space: Space) -> _Fixed:
    """Return what shows the same in all states; in a wait only clocks change, and those fall."""
    dead = space.dead()
    rows = [row for number, row in enumerate(space.states) if number not in dead]
    size = len(space.cone.registers)
    registers = {
        index: bool(rows[0][place])
        for place, index in enumerate(space.cone.registers)
        if len({bool(row[place]) for row in rows}) == 1
    }
    clocks = frozenset(
        index
        for place, index in enumerate(space.cone.clocks)
        if not any(row[size + place] for row in rows)
    )
    return _Fixed(registers, clocks)


def _bars(system: System, goal: Node, fixed: _Fixed) -> bool:
    """Whether fixed values stay by themselves, and bar the goal while they do."""
    pool = system.pool

    def leaf(node: Node) -> Node:
        match node.op:
            case Op.REGISTER if node.data[0] in fixed.registers:
                return pool.yes if fixed.registers[node.data[0]] else pool.no
            case Op.ABOVE if node.data[0] in fixed.clocks:
                return pool.no
            case _:
                return node

    nexts = {index: system.registers[index].next for index in fixed.registers}
    loads = [load.when for one in fixed.clocks for load in system.clocks[one].loads if load.high]
    made = replaced(pool, [goal, system.allowed, *nexts.values(), *loads], leaf)
    stays = all(
        made[node.number] is (pool.yes if fixed.registers[index] else pool.no)
        for index, node in nexts.items()
    )
    rests = all(made[node.number] is pool.no for node in loads)
    return stays and rests and made[goal.number] is pool.no


def _fewest(system: System, goal: Node, fixed: _Fixed) -> _Fixed:
    """Leave out one after the other what is not needed."""
    for clock in sorted(fixed.clocks):
        less = fixed.without_clock(clock)
        fixed = less if _bars(system, goal, less) else fixed
    for register in sorted(fixed.registers, reverse=True):
        less = fixed.without_register(register)
        fixed = less if _bars(system, goal, less) else fixed
    return fixed


def _told(system: System, after: State, all_: _Fixed, fixed: _Fixed) -> tuple[Hold, ...]:
    """Return fixed values by the nets and timers that they belong to, in the design's order."""
    found: list[Hold] = []
    for kept in system.design.kept:
        nodes = system.shown[kept.net.path].nodes
        bits = [node.data[0] for node in nodes if node.op is Op.REGISTER]
        needed = [index for index in bits if index in fixed.registers]
        if not needed:
            continue
        if all(index in all_.registers for index in bits):
            found.append(Hold(kept.net.path, _value(system, kept.net.path, bits, after)))
        else:
            found += [
                Hold(kept.net.path, int(fixed.registers[one]), system.registers[one].name)
                for one in needed
            ]
    for timer in system.design.timers:
        if system.shown[timer.path].timer in fixed.clocks:
            found.append(Hold(timer.path, 0))
    return tuple(found)


def _value(system: System, path: str, bits: Sequence[int], after: State) -> int:
    """Return the value of a kept net in a state: a flag, a number, the position of an option."""
    shown = system.shown[path]
    live = [after.registers[index] for index in bits]
    if len(shown.nodes) > len(bits):  # a choice, whose first option has no register
        return live.index(True) + 1 if True in live else 0
    return shown.low + sum(live)
