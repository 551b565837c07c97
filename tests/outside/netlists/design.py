"""A netlist as a design in the language: free signals, kept flags, and a `let` for each gate."""

import re
from collections.abc import Iterable, Mapping

from tests.outside.netlists.netlist import Bits, Gate, Netlist, Placed
from verifier.syntax.words import TAKEN


def names(netlist: Netlist) -> Mapping[str, str]:
    """Return a name in the language for each name of a netlist, the same where it will do."""
    found: dict[str, str] = {}
    for name in (*netlist.inputs, *netlist.flops, *netlist.gates):
        wanted = re.sub(r"\W", "_", name, flags=re.ASCII)
        if not re.match(r"[A-Za-z_]", wanted):
            wanted = f"n{wanted}"
        while wanted in TAKEN or wanted in found.values():
            wanted += "_"
        found[name] = wanted
    return found


def written(netlist: Netlist, claims: Iterable[str] = (), more: Iterable[str] = ()) -> str:
    """Return a design that does what a netlist does, with some claims and lines more."""
    called = names(netlist)
    lines = [
        *(f"free {called[name]}: signal" for name in netlist.inputs),
        *(f"keep {called[name]}: flag" for name in netlist.flops),
        *(f"let {called[name]} = {_gate(one, called)}" for name, one in netlist.gates.items()),
        *(f"{called[name]} becomes {called[taken]}" for name, taken in netlist.flops.items()),
        *more,
        *claims,
    ]
    return "\n  ".join(["design netlist {", *lines]) + "\n}\n"


def _gate(placed: Placed, called: Mapping[str, str]) -> str:
    reads = [called[name] for name in placed.reads]
    match placed.gate:
        case Gate.AND | Gate.BUF:
            return " and ".join(reads) or "yes"
        case Gate.OR:
            return " or ".join(reads) or "no"
        case Gate.NAND | Gate.NOT:
            return f"not ({' and '.join(reads)})"
        case Gate.NOR:
            return f"not ({' or '.join(reads)})"
        case Gate.XOR:
            return _odd(reads)
        case Gate.XNOR:
            return f"not {_odd(reads)}"


def _odd(reads: list[str]) -> str:
    """Return: an odd number of these is live."""
    first, *others = reads
    for other in others:
        first = f"exactly 1 of ({first}, {other})"
    return f"({first})"


def at(netlist: Netlist, state: Bits) -> str:
    """Return the condition that the flip-flops hold just this; `yes` where there are none."""
    called = names(netlist)
    held = [
        called[name] if bit else f"not {called[name]}"
        for name, bit in zip(netlist.flops, state, strict=True)
    ]
    return f"all of ({', '.join(held)})" if held else "yes"
