"""The part of a system that matters to a question: what its roots depend on, now and later."""

from collections.abc import Sequence

from verifier.system.expr import Node, Op
from verifier.system.fold import leaves
from verifier.system.model import Cone, System


def cone(system: System, roots: Sequence[Node]) -> Cone:
    """Return all that the roots and `allowed` depend on over any number of ticks."""
    asked = tuple(dict.fromkeys([*roots, system.allowed]))
    found: dict[Op, set[int]] = {Op.PICK: set(), Op.REGISTER: set(), Op.ABOVE: set()}
    fresh: list[Node] = list(asked)
    while fresh:
        read = leaves(fresh)
        fresh = []
        for index in sorted(read[Op.REGISTER] - found[Op.REGISTER]):
            fresh.append(system.registers[index].next)
        for index in sorted(read[Op.ABOVE] - found[Op.ABOVE]):
            clock = system.clocks[index]
            fresh.extend([clock.runs, *(load.when for load in clock.loads)])
        for op, indices in read.items():
            found[op] |= indices
    return Cone(
        system=system,
        roots=tuple(roots),
        choices=tuple(sorted(found[Op.PICK])),
        registers=tuple(sorted(found[Op.REGISTER])),
        clocks=tuple(sorted(found[Op.ABOVE])),
    )


def whole(system: System, roots: Sequence[Node] = ()) -> Cone:
    """Return the whole system as a cone."""
    return Cone(
        system=system,
        roots=tuple(roots),
        choices=tuple(range(len(system.choices))),
        registers=tuple(range(len(system.registers))),
        clocks=tuple(range(len(system.clocks))),
    )
