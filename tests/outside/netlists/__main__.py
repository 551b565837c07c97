"""Reads netlists, asks the verifier of their states, and compares that with a count of its own.

    python -m tests.outside.netlists FILE...      files in the textual form of the ISCAS-89 set
    python -m tests.outside.netlists s27          one that the package circuitgraph carries
    python -m tests.outside.netlists FILE --text  the design that is made of it, and nothing else

The exit status is 0 if all agree, 1 if some state is told otherwise, 2 if a file cannot be read.
"""

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from rich.console import Console

from tests.outside.netlists.asked import sample, told, walked
from tests.outside.netlists.count import Symbolic
from tests.outside.netlists.design import written
from tests.outside.netlists.netlist import Netlist, NetlistError, read
from tests.outside.netlists.package import carried

COUNTED = 24
"""Up to so many flip-flops all states that can be reached are counted."""


def netlist_of(name: str) -> Netlist:
    """Return the netlist of a file, or of the package where there is no such file.

    Raises:
        NetlistError: it cannot be read.
        OSError: it cannot be opened.
    """
    path = Path(name)
    if path.exists() or path.suffix:
        return read(path.read_text(encoding="utf-8"), path.name)
    try:
        return carried(name)
    except ValueError as error:
        raise NetlistError(f"{name}: {error}") from None


def agrees(netlist: Netlist, seed: int, few: int, console: Console) -> bool:
    """Ask, compare and tell; return whether the verifier and the count agree."""
    if len(netlist.flops) > COUNTED:
        counted = "too many states to count, so a few are asked that a run comes to"
        found = told(netlist, walked(netlist, seed, few))
        wrong = list(found.never)
    else:
        symbolic = Symbolic(netlist)
        counted = f"{symbolic.count} states can be reached, the farthest in {symbolic.depth} ticks"
        found = told(netlist, sample(netlist, symbolic, seed, few))
        wrong = [one for one in found.tick if not symbolic.reached(one)]
        wrong += [one for one in found.never if symbolic.reached(one)]
    states = [*found.tick, *found.never, *found.unknown]
    console.print(
        f"{netlist.name}: {len(netlist.inputs)} inputs, {len(netlist.gates)} gates, "
        f"{len(netlist.flops)} flip-flops; {counted}\n"
        f"  the verifier was asked of {len(states)}: {len(found.tick)} can be reached, "
        f"{len(found.never)} can not, {len(found.unknown)} unknown, {len(wrong)} told otherwise"
    )
    for state in wrong:
        console.print(f"  wrong: {''.join(str(int(bit)) for bit in state)}")
    return not wrong


def main(arguments: Sequence[str], console: Console) -> int:
    """Try each netlist; return the exit status."""
    line = argparse.ArgumentParser(prog="python -m tests.outside.netlists", description=__doc__)
    line.formatter_class = argparse.RawDescriptionHelpFormatter
    line.add_argument("netlist", nargs="+", help="a file, or a name in the package")
    line.add_argument("--text", action="store_true", help="only print the design")
    line.add_argument("--seed", type=int, default=0, help="of the states that are asked (0)")
    line.add_argument("--few", type=int, default=12, help="states asked where there are many (12)")
    asked = line.parse_args(arguments)
    fine = True
    for name in asked.netlist:
        try:
            netlist = netlist_of(name)
        except (NetlistError, OSError) as error:
            console.print(str(error), style="red", highlight=False)
            return 2
        if asked.text:
            console.print(written(netlist), markup=False, highlight=False)
        else:
            fine &= agrees(netlist, asked.seed, asked.few, console)
    return 0 if fine else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:], Console()))
