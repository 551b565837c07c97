"""Looks at many ticks ahead at once: how long does nothing happen but that clocks go on?

Every tick is looked at, side by side with its neighbours: bit t of a whole number says what holds t
ticks ahead (bit-parallel simulation, as in S. Seshu, "On an Improved Diagnosis Program", IEEE
Transactions on Electronic Computers, 1965, where each bit is a fault). Registers are taken to stay,
each clock to count or to stand; the ticks before the first at which something else comes out, or a
stop is live, went as supposed. So a wrong guess costs time, and never a wrong answer.
"""

from collections.abc import Callable, Sequence
from typing import assert_never, cast

from verifier.system.expr import Node, Op, reachable
from verifier.system.model import Clock, Cone
from verifier.system.printed import Printer, changing, entry

# (registers, clocks, choices, draws, which clocks count, width) -> ticks that go as supposed
Ahead = Callable[
    [Sequence[bool], Sequence[int], Sequence[int], Sequence[int], Sequence[bool], int], int
]


def ahead(cone: Cone, stops: Sequence[Node]) -> Ahead | None:
    """Return a function that tells how many of the next ticks, `width` at most, go as supposed.

    In them registers stay, the clocks said to count show one less each tick (not below 0), the
    others stay, and no stop is live. None where a stop compares clocks with each other.
    """
    if any(node.op is Op.GAP for node in reachable(stops)):
        return None
    names: dict[str, object] = {"above": above, "either": either, "as_supposed": as_supposed}
    exec(compile(source(cone, stops), "<ahead>", "exec"), names)  # noqa: S102 - printed by us
    return cast("Ahead", names["ahead"])


def source(cone: Cone, stops: Sequence[Node]) -> str:
    """Return the function as a text that can be read beside the design."""
    printer = Printer([*stops, *changing(cone)], _written)
    lines = ["every = (1 << width) - 1", *entry(cone)]
    lines.extend(f"r{index} = every if r{index} else 0" for index in cone.registers)
    lines.extend(f"w{index} = counting[{index}] and c{index} > 0" for index in cone.clocks)
    lines.extend([*printer.before, *printer.lines, "well = every"])
    lines.extend(f"well &= every ^ {printer.text(stop)}" for stop in stops)
    for index in cone.registers:
        after = printer.text(cone.system.registers[index].next)
        lines.append(f"well &= every ^ r{index} ^ {after}")
    for index in cone.clocks:
        lines.extend(_clock(index, cone.system.clocks[index], printer))
    lines.append("return as_supposed(well)")
    head = "def ahead(registers, clocks, choices, draws, counting, width):"
    return "\n".join([head, *(f"    {line}" for line in lines), ""])


def above(value: int, least: int, counts: bool, width: int) -> int:  # noqa: FBT001 - a fact
    """Return the ticks at which a clock that now shows `value` shows more than `least`."""
    if counts:
        return (1 << max(0, min(width, value - least))) - 1
    return (1 << width) - 1 if value > least else 0


def either(condition: int, then: int, other: int) -> int:
    """Return the ticks at which the condition and `then` hold, or `other` without it."""
    return condition & then | ~condition & other


def as_supposed(well: int) -> int:
    """Return how many bits are set from bit 0 on."""
    return ((well + 1) & ~well).bit_length() - 1


def _written(node: Node, args: Sequence[str]) -> str:
    """Return how a node is written over what its arguments are written as."""
    match node.op:
        case Op.CONST:
            return "every" if node.data[0] else "0"
        case Op.PICK:
            return f"every if p{node.data[0]} == {node.data[1]} else 0"
        case Op.REGISTER:
            return f"r{node.data[0]}"
        case Op.ABOVE:
            clock, least = node.data
            return f"above(c{clock}, {least}, w{clock}, width)"
        case Op.NOT:
            return f"every ^ {args[0]}"
        case Op.AND:
            return " & ".join(args)
        case Op.OR:
            return " | ".join(args)
        case Op.IF:
            return f"either({args[0]}, {args[1]}, {args[2]})"
        case Op.GAP:
            raise ValueError("clocks are compared with each other")
        case _:
            assert_never(node.op)


def _clock(index: int, clock: Clock, printer: Printer) -> list[str]:
    """Return lines that take away the ticks after which the clock is not as supposed."""
    lines = ["idle = every"]
    for load in clock.loads:
        value, fits = str(load.low), ""
        if load.turned:
            value = f"max({load.low} - c{index}, 0)"
        elif load.low != load.high:
            value, fits = f"d{index}", f" or not {load.low} <= d{index} <= {load.high}"
        lines += [
            f"taken = idle & {printer.text(load.when)}",
            f"if w{index} or {value} != c{index}{fits}:",
            "    well &= every ^ taken",
            "idle ^= taken",
        ]
    runs = printer.text(clock.runs)
    return [
        *lines,
        f"if w{index}:",
        f"    well &= every ^ idle | {runs} | every ^ above(c{index}, 0, True, width)",
        f"elif c{index}:",
        f"    well &= every ^ (idle & {runs})",
    ]
