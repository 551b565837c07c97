"""One tick of a cone under each of its choices, printed as one Python function.

What depends on the choices alone is worked out once and stands in a table, a row for each way to
choose; what depends on the state alone is worked out once a state. Only the rest is worked out for
each way to choose from each state.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import product
from math import prod

from verifier.system.expr import Node, Op, reachable
from verifier.system.fold import evaluate
from verifier.system.model import Clock, Cone
from verifier.system.printed import DEEPEST, changing, is_leaf, written

Flat = tuple[int, ...]
"""Registers (as truth values), then clocks, of a cone; searches put one more number behind them."""

Found = dict[Flat, tuple[int, int]]
"""States a tick later, each with the fewest moves that lead there and the row of such a choice."""

Ticks = Callable[[Flat, Sequence[int], Found, Found], bool]


def ticks_of(
    cone: Cone, target: Node, allowed: Node, rows: Sequence[tuple[int, ...]], hands: Sequence[int]
) -> Ticks:
    """Return a function that finds what one tick can lead to from a state.

    It is given the state, what each row costs there, and two empty collections: one for states
    after a tick without the target, one for those after a tick with it. A span that is drawn stands
    in them as a `range`. It returns whether no choice that is allowed makes a difference in this
    tick but for who holds what (`hands`, the last number of a state).
    """
    code = _Code(cone, target, allowed)
    table = [
        (row, hand, *code.columns(choices))
        for row, (choices, hand) in enumerate(zip(rows, hands, strict=True))
    ]
    text = "\n".join(code.lines())
    names: dict[str, object] = {"TABLE": table, **code.ranges}
    exec(compile(text, "<puzzle>", "exec"), names)  # noqa: S102 - our own text
    ticks: Ticks = names["ticks"]  # type: ignore[assignment] # what the text defines
    return ticks


def spread(state: Sequence[int | range]) -> list[Flat]:
    """Return the states in which each drawn span has taken one of its values."""
    return list(product(*(one if isinstance(one, range) else (one,) for one in state)))


def ways_of(state: Sequence[int | range]) -> int:
    """Return how many `spread` would return."""
    return prod(len(one) for one in state if isinstance(one, range))


def is_drawn(state: Sequence[int | range]) -> list[bool]:
    """Say for each part of a state whether it is still to be drawn."""
    return [isinstance(one, range) for one in state]


@dataclass(slots=True, eq=False)
class _Code:
    """The text of the function; `steady` are the expressions in the columns of the table."""

    cone: Cone
    target: Node
    allowed: Node
    ranges: dict[str, range] = field(default_factory=dict)
    steady: list[Node] = field(default_factory=list)
    _text: dict[int, str] = field(default_factory=dict)
    _picks: set[int] = field(default_factory=set)
    _state: set[int] = field(default_factory=set)
    _once: list[str] = field(default_factory=list)
    _each: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        roots = [self.target, self.allowed, *changing(self.cone)]
        nodes = reachable(roots)
        uses = Counter(root.number for root in roots)
        for node in nodes:
            self._sort(node)
        for node in nodes:
            # An expression of the state that is used for each choice is worked out before them.
            mixed = node.number in self._picks and node.number in self._state
            uses.update(arg.number for arg in node.args)
            if mixed:
                uses.update(a.number for a in node.args if a.number not in self._picks)
        outside = {root.number for root in roots}
        outside |= {a.number for n in nodes if n.number in self._state for a in n.args}
        depth: dict[int, int] = {}
        for node in nodes:
            if node.number in self._picks and node.number not in self._state:
                if node.number in outside:
                    self.steady.append(node)
                self._text[node.number] = f"n{node.number}"
            else:
                self._print(node, uses[node.number], depth)

    def columns(self, choices: Sequence[int]) -> tuple[bool, ...]:
        """Return what stands in the columns of the table under some choices of the whole system."""
        values = evaluate(self.steady, choices, (), ())
        return tuple(values[node.number] for node in self.steady)

    def lines(self) -> list[str]:
        """Return the text."""
        system, cone = self.cone.system, self.cone
        entry = [f"r{index}" for index in cone.registers] + [f"c{index}" for index in cone.clocks]
        columns = "".join(f", n{node.number}" for node in self.steady)
        nexts = [self._text[system.registers[index].next.number] for index in cone.registers]
        clocks = [self._clock(index, system.clocks[index]) for index in cone.clocks]
        state = f"({', '.join([*nexts, *(f'd{index}' for index in cone.clocks), 'hand'])},)"
        marks = self._marks()
        return [
            "def ticks(state, cost, found, met):",
            f"    {', '.join([*entry, '_'])} = state",
            *(f"    {line}" for line in self._once),
            "    first, same = None, True",
            f"    for row, hand{columns} in TABLE:",
            *(f"        {line}" for line in self._each),
            f"        if not {self._text[self.allowed.number]}:",
            "            continue",
            *(f"        {line}" for line in clocks),
            f"        after = {state}",
            f"        here = met if {self._text[self.target.number]} else found",
            "        before = here.get(after)",
            "        if before is None or cost[row] < before[0]:",
            "            here[after] = cost[row], row",
            "        if same:",
            f"            mark = ({', '.join(['after[:-1]', *marks])},)",
            "            if first is None:",
            "                first = mark",
            "            elif first != mark:",
            "                same = False",
            "    return same and not met",
        ]

    def _sort(self, node: Node) -> None:
        """Note whether a node reads choices, and whether it reads the state."""
        numbers = [arg.number for arg in node.args]
        if node.op is Op.PICK or any(one in self._picks for one in numbers):
            self._picks.add(node.number)
        if node.op in (Op.REGISTER, Op.ABOVE, Op.GAP) or any(one in self._state for one in numbers):
            self._state.add(node.number)

    def _print(self, node: Node, uses: int, depth: dict[int, int]) -> None:
        deep = 1 + max((depth.get(arg.number, 0) for arg in node.args), default=0)
        text = written(node, [self._text[arg.number] for arg in node.args])
        if is_leaf(node):
            self._text[node.number] = text
        elif uses > 1 or deep > DEEPEST:
            name = f"n{node.number}"
            lines = self._each if node.number in self._picks else self._once
            lines.append(f"{name} = {text}")
            self._text[node.number] = name
        else:
            self._text[node.number] = f"({text})"
            depth[node.number] = deep

    def _clock(self, index: int, clock: Clock) -> str:
        """Return a line for what a clock shows next; a range where that is drawn."""
        runs = self._text[clock.runs.number]
        counted = f"c{index} - 1 if c{index} and {runs} else c{index}"
        text = counted
        for load in reversed(clock.loads):
            value = str(load.low)
            if load.turned:
                value = f"max({load.low} - c{index}, 0)"
            elif load.low != load.high:
                value = f"RANGE_{load.low}_{load.high}"
                self.ranges[value] = range(load.low, load.high + 1)
            text = f"{value} if {self._text[load.when.number]} else ({text})"
        return f"d{index} = {text}"

    def _marks(self) -> list[str]:
        """Return what must not hang on a choice either, besides what comes next."""
        clocks = [self.cone.system.clocks[index] for index in self.cone.clocks]
        nodes = [
            one for clock in clocks for one in (*(load.when for load in clock.loads), clock.runs)
        ]
        mixed = [node for node in nodes if node.number in self._picks]
        return list(dict.fromkeys(self._text[node.number] for node in mixed))
