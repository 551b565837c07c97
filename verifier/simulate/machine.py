"""Runs of a cone by jumps: many ticks at once while nothing changes but the clocks that count down.

The cone is printed as one Python function that looks at a state under some choices and tells what
would come next. A jump of d ticks equals d single ticks because, where d is more than one, all
registers are stable and no comparison of a clock changes before the last of them.
"""

from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from math import prod
from typing import NamedTuple, assert_never

from verifier.system.expr import Node, Op, reachable
from verifier.system.fold import leaves
from verifier.system.model import Clock, Cone

Registers = tuple[bool, ...]
Clocks = tuple[int, ...]
Position = tuple[Registers, Clocks]

COUNTS = -1  # no load is taken: the clock runs or stands
NO_DRAW = -1  # no span with a range is loaded

MOST_DRAWS = 65_536
"""Where spans can come out in more ways than this in one tick, under all choices together, states
are not tried one by one."""

LOOK = 4e-6  # measured: seconds for a look and a jump, and more for each expression
NODE = 4e-8


class TooManyDrawsError(ValueError):
    """Spans can come out in more ways in one tick than whoever asks would try."""

    def __init__(self, ways: int) -> None:
        """Say in how many ways."""
        super().__init__(f"spans can come out in {ways} ways in one tick")


class Look(NamedTuple):
    """What a state holds under some choices: see `Machine.look`. By place in the cone."""

    registers: Registers  # at the next tick
    loads: tuple[int, ...]  # for each clock the index of the load taken, or COUNTS
    runs: tuple[bool, ...]
    seen: tuple[bool, ...]  # the watched nodes, now


@dataclass(frozen=True, slots=True, eq=False)
class Machine:
    """A cone that can be run; indices of its tuples are places in `cone`, not those of the system.

    `thresholds[i]` are the numbers that clock i is compared with, rising.
    """

    cone: Cone
    watched: tuple[Node, ...]
    look: Callable[[Registers, Clocks, Sequence[int]], Look]
    clocks: tuple[Clock, ...]
    thresholds: tuple[tuple[int, ...], ...]
    options: tuple[int, ...]
    effort: float  # nominal seconds that one look costs, see engines/contract.py

    def start(self) -> Position:
        """Return the start values of the design."""
        system = self.cone.system
        return (
            tuple(system.registers[index].start for index in self.cone.registers),
            tuple(system.clocks[index].start for index in self.cone.clocks),
        )

    @property
    def places(self) -> tuple[int, ...]:
        """All choices, by place."""
        return tuple(range(len(self.options)))

    def rest(self) -> tuple[int, ...]:
        """Return the choices of nobody doing anything."""
        return (0,) * len(self.options)

    def level(self, clock: int, value: int) -> int:
        """Return how many thresholds of the clock are below `value`: equal levels look alike."""
        return bisect_left(self.thresholds[clock], value)

    def longest_jump(self, at: Position, look: Look, draws: Sequence[int]) -> int | None:
        """Return the most ticks that one jump may take from here; None: nothing ever changes."""
        registers, clocks = at
        if look.registers != registers:
            return 1
        most: int | None = None
        for index, load in enumerate(look.loads):
            value = clocks[index]
            if load == COUNTS:
                below = self.level(index, value)
                if look.runs[index] and below:
                    left = value - self.thresholds[index][below - 1]
                    most = left if most is None else min(most, left)
            elif not self._stays(index, load, value, draws[index]):
                return 1
        return most

    def _stays(self, index: int, load: int, value: int, draw: int) -> bool:
        """Whether loading now leaves the clock where it stands, as far as anyone can tell."""
        taken = self.clocks[index].loads[load]
        if taken.turned:
            return value == max(0, taken.low - value)
        new = taken.low if taken.low == taken.high else draw
        return new == value or self.level(index, new) == self.level(index, value)

    def after(self, at: Position, look: Look, draws: Sequence[int], ticks: int) -> Position:
        """Return the state after a jump of `ticks`, at most `longest_jump`."""
        clocks = list(at[1])
        for index, load in enumerate(look.loads):
            if load != COUNTS:
                taken = self.clocks[index].loads[load]
                if taken.turned:
                    clocks[index] = max(0, taken.low - clocks[index])
                else:
                    clocks[index] = taken.low if taken.low == taken.high else draws[index]
            elif look.runs[index]:
                clocks[index] = max(0, clocks[index] - ticks)
        return look.registers, tuple(clocks)

    def fitted(self, look: Look, wished: Sequence[int]) -> tuple[int, ...]:
        """Return what clocks show next that load a span with a range: the wish, or the nearest end.

        NO_DRAW for all others.
        """
        draws = [NO_DRAW] * len(wished)
        for index, load in enumerate(look.loads):
            if load != COUNTS:
                taken = self.clocks[index].loads[load]
                if taken.low != taken.high:
                    draws[index] = max(taken.low, min(taken.high, wished[index]))
        return tuple(draws)

    def draws(self, look: Look, most: int | None = None) -> Iterator[tuple[int, ...]]:
        """Return all ways in which the spans that are loaded now can come out, NO_DRAW for others.

        Raises:
            TooManyDrawsError: They are more than `most`.
        """
        spans: list[Sequence[int]] = [(NO_DRAW,)] * len(look.loads)
        for index, load in enumerate(look.loads):
            if load != COUNTS:
                taken = self.clocks[index].loads[load]
                if taken.low != taken.high:
                    spans[index] = range(taken.low, taken.high + 1)
        ways = prod(map(len, spans))
        if most is not None and ways > most:
            raise TooManyDrawsError(ways)
        return product(*spans)


def nodes_of(cone: Cone, roots: Iterable[Node]) -> list[Node]:
    """Return all that says how the cone goes on, and the roots: arguments before their users."""
    system = cone.system
    nexts = [system.registers[index].next for index in cone.registers]
    clocks = [system.clocks[index] for index in cone.clocks]
    loads = [load.when for clock in clocks for load in clock.loads]
    runs = [clock.runs for clock in clocks]
    return reachable([*nexts, *loads, *runs, system.allowed, *roots])


def thresholds_of(cone: Cone, roots: Iterable[Node]) -> tuple[tuple[int, ...], ...]:
    """Return for each clock of the cone the numbers it is compared with, rising."""
    found: dict[int, set[int]] = {index: set() for index in cone.clocks}
    for node in nodes_of(cone, roots):
        if node.op is Op.ABOVE:
            found[node.data[0]].add(node.data[1])
    return tuple(tuple(sorted(found[index])) for index in cone.clocks)


def machine(cone: Cone, watched: Sequence[Node]) -> Machine:
    """Return the cone made ready to run; the watched nodes must depend on nothing outside of it."""
    system = cone.system
    return Machine(
        cone=cone,
        watched=tuple(watched),
        look=_compiled(cone, watched),
        clocks=tuple(system.clocks[index] for index in cone.clocks),
        thresholds=thresholds_of(cone, watched),
        options=tuple(len(system.choices[index].options) for index in cone.choices),
        effort=LOOK + NODE * len(nodes_of(cone, watched)),
    )


def _compiled(cone: Cone, watched: Sequence[Node]) -> Callable[..., Look]:
    scope: dict[str, Callable[..., Look]] = {"Look": Look}
    exec(compile(_source(cone, watched), "<machine>", "exec"), scope)  # noqa: S102 - our own text
    return scope["look"]


def _source(cone: Cone, watched: Sequence[Node]) -> str:
    """Print the function `look`: one line for each shared expression."""
    system = cone.system
    nexts = [system.registers[index].next for index in cone.registers]
    clocks = [system.clocks[index] for index in cone.clocks]
    nodes = reachable(
        [*nexts, *watched, *(load.when for clock in clocks for load in clock.loads)]
        + [clock.runs for clock in clocks]
    )
    name: dict[int, str] = {}
    lines = ["def look(r, c, p):"]
    for node in nodes:
        text = _expression(cone, node, name)
        if len(node.args) > 1:
            lines.append(f"    n{node.number} = {text}")
            text = f"n{node.number}"
        name[node.number] = text
    loads = [_first(clock, name) for clock in clocks]
    runs = [name[clock.runs.number] for clock in clocks]
    parts = [[name[node.number] for node in nexts], loads, runs, [name[n.number] for n in watched]]
    lines.append(f"    return Look({', '.join(_tuple(part) for part in parts)})")
    return "\n".join(lines)


def _first(clock: Clock, name: dict[int, str]) -> str:
    """Print the index of the first load that holds."""
    cases = [f"{index} if {name[load.when.number]} else " for index, load in enumerate(clock.loads)]
    return "".join(cases) + str(COUNTS)


def _tuple(parts: Sequence[str]) -> str:
    return f"({', '.join(parts)}{',' if len(parts) == 1 else ''})"


def _expression(cone: Cone, node: Node, name: dict[int, str]) -> str:
    args = [name[arg.number] for arg in node.args]
    match node.op:
        case Op.CONST:
            return str(bool(node.data[0]))
        case Op.PICK:
            return f"(p[{cone.choices.index(node.data[0])}] == {node.data[1]})"
        case Op.REGISTER:
            return f"r[{cone.registers.index(node.data[0])}]"
        case Op.ABOVE:
            return f"(c[{cone.clocks.index(node.data[0])}] > {node.data[1]})"
        case Op.GAP:
            one, other = (cone.clocks.index(clock) for clock in node.data[:2])
            return f"(c[{one}] - c[{other}] <= {node.data[2]})"
        case Op.NOT:
            return f"(not {args[0]})"
        case Op.AND:
            return " and ".join(args)
        case Op.OR:
            return " or ".join(args)
        case Op.IF:
            return f"{args[1]} if {args[0]} else {args[2]}"
        case _:
            assert_never(node.op)


def closed(cone: Cone) -> bool:
    """Whether there is only one run: no choices and no drawn spans in the cone."""
    ranged = any(cone.system.clocks[index].ranged for index in cone.clocks)
    return not cone.choices and not ranged


def reads_choices(node: Node) -> bool:
    """Whether a node depends on the choices of the same tick."""
    return bool(leaves([node])[Op.PICK])
