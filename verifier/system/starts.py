"""Where runs begin: with the start values, or from anywhere, with whatever can be kept."""

import random
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from verifier.system.expr import Node, Op
from verifier.system.fold import evaluate, leaves
from verifier.system.model import Cone
from verifier.system.state import State

Row = tuple[int, ...]
"""Values of the first registers and clocks of a cone, in their order: registers come first."""

Check = Callable[[Row], bool]

DRAWN = 3
"""Values of a clock that are tried by chance, beside both ends, until one fits."""


@dataclass(frozen=True, slots=True)
class Starts:
    """The states in which runs of a cone begin; what is outside of it shows False or 0 there.

    `values` tell what each register and clock can be, a row for each; `checks[i]` are the parts of
    the domain that can be told once the first i + 1 are known.
    """

    part: Cone
    values: Sequence[Sequence[int]]
    checks: Sequence[Sequence[Check]]

    @classmethod
    def of(cls, part: Cone, *, anywhere: bool) -> "Starts":
        """Return the start values alone; from anywhere, all that the domain leaves.

        The domain has to be in the cone then.
        """
        system = part.system
        values: list[Sequence[int]] = []
        for index in part.registers:
            register = system.registers[index]
            values.append((False, True) if anywhere and register.kept else (register.start,))
        for index in part.clocks:
            clock = system.clocks[index]
            free = anywhere and clock.kept
            values.append(range(clock.longest + 1) if free else (clock.start,))
        checks: list[list[Check]] = [[] for _ in values]
        for clause in _clauses(system.domain) if anywhere else ():
            last, check = _check(part, clause)
            checks[last].append(check)
        return cls(part, values, checks)

    def all(self, most: int) -> Sequence[State] | None:
        """Return all of them; None where they are more than `most`."""
        rows: list[Row] = [()]
        for values in self.values:
            longer = (row for begun in rows for row in self._longer(begun, values))
            rows = list(islice(longer, most + 1))
            if len(rows) > most:
                break
        return None if len(rows) > most else [_state(self.part, row) for row in rows]

    def drawn(self, dice: random.Random) -> State | None:
        """Return one of them by chance; None where luck had none, which is seldom."""
        row: Row = ()
        for values in self.values:
            tried = [values[0], values[-1], *(dice.choice(values) for _ in range(DRAWN))]
            fitting = next(self._longer(row, dice.sample(tried, len(tried))), None)
            if fitting is None:
                return None
            row = fitting
        return _state(self.part, row)

    def _longer(self, row: Row, values: Iterable[int]) -> Iterator[Row]:
        """Yield the row with each of the values behind it that the domain leaves."""
        checks = self.checks[len(row)]
        for value in values:
            found = (*row, value)
            if all(check(found) for check in checks):
                yield found


def _clauses(domain: Node) -> Iterator[Node]:
    """Yield what must hold all at once, but for constants."""
    stack = [domain]
    while stack:
        node = stack.pop()
        if node.op is Op.AND:
            stack.extend(node.args)
        elif any(leaves([node]).values()):
            yield node


def _check(part: Cone, clause: Node) -> tuple[int, Check]:
    """Return the last place of a row that a part of the domain reads, and whether a row meets it.

    Parts read few places, so what comes out is kept.
    """
    read = leaves([clause])
    places = [place for place, index in enumerate(part.registers) if index in read[Op.REGISTER]]
    before = len(part.registers)
    places += [before + n for n, index in enumerate(part.clocks) if index in read[Op.ABOVE]]
    known: dict[Row, bool] = {}

    def check(row: Row) -> bool:
        seen = tuple(row[place] for place in places)
        if seen not in known:
            state = _state(part, row)
            rest = (0,) * len(part.system.choices)
            values = evaluate([clause], rest, state.registers, state.clocks)
            known[seen] = values[clause.number]
        return known[seen]

    return places[-1], check


def _state(part: Cone, row: Row) -> State:
    """Return the state of a row; what it does not tell shows False or 0."""
    system, inside = part.system, len(part.registers)
    registers, clocks = [False] * len(system.registers), [0] * len(system.clocks)
    for index, live in zip(part.registers, row[:inside], strict=False):
        registers[index] = bool(live)
    for index, shows in zip(part.clocks, row[inside:], strict=False):
        clocks[index] = shows
    return State(tuple(registers), tuple(clocks))
