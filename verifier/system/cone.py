"""The part of a system that matters to a question: what its roots depend on, now and later."""

from collections.abc import Sequence
from dataclasses import replace

from verifier.system.expr import Node, Op
from verifier.system.model import Clock, Cone, System


def cone(system: System, roots: Sequence[Node]) -> Cone:
    """Return all that the roots and `allowed` depend on over any number of ticks."""
    return replace(behind(system, [*roots, system.allowed]), roots=tuple(roots))


def behind(system: System, roots: Sequence[Node]) -> Cone:
    """Return all that the roots depend on, whatever assumptions there are."""
    choices, registers, clocks = set[int](), set[int](), set[int]()
    seen: set[int] = set()
    stack = [*roots]
    while stack:
        node = stack.pop()
        if node.number in seen:
            continue
        seen.add(node.number)
        stack.extend(node.args)
        match node.op:
            case Op.PICK:
                choices.add(node.data[0])
            case Op.REGISTER:
                registers.add(node.data[0])
                stack.append(system.registers[node.data[0]].next)
            case Op.ABOVE | Op.GAP:
                for index in node.data[: 1 if node.op is Op.ABOVE else 2]:
                    clocks.add(index)
                    stack.extend(_behind(system.clocks[index]))
            case _:
                pass
    return Cone(
        system=system,
        roots=tuple(roots),
        choices=tuple(sorted(choices)),
        registers=tuple(sorted(registers)),
        clocks=tuple(sorted(clocks)),
    )


def closed(cone: Cone) -> bool:
    """Whether there is only one run: no choices and no drawn spans in the cone."""
    return not cone.choices and not any(cone.system.clocks[index].ranged for index in cone.clocks)


def _behind(clock: Clock) -> list[Node]:
    """Return the expressions that a clock goes by."""
    return [clock.runs, *(load.when for load in clock.loads)]


def whole(system: System, roots: Sequence[Node] = ()) -> Cone:
    """Return the whole system as a cone."""
    return Cone(
        system=system,
        roots=tuple(roots),
        choices=tuple(range(len(system.choices))),
        registers=tuple(range(len(system.registers))),
        clocks=tuple(range(len(system.clocks))),
    )
