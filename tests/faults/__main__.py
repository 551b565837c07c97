"""Faults while running, many of them: `python -m tests.faults [PART...]`.

    solvers   each query of each claim of the demo designs is answered by a fault, once and for good
    workers   processes end in each way at several moments, or have little memory
    stops     commands are stopped at random moments, 100 times by Ctrl-C

Without a name all of them. What is wrong is printed, and makes the exit status 1.
"""

import argparse
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from random import Random

from tests.faults.expected import ALL, SMALL, system_of
from tests.faults.solver import known, tried
from tests.faults.stops import COMMANDS, WAYS, Whole, stopped
from tests.faults.workers import ENDS, Case, ending, little_memory, no_process

Told = Iterator[tuple[str, list[str]]]
"""What was done, for a count of such things, and what was wrong with what came of it."""


def solvers(_luck: Random, most: int) -> Told:
    """Let each query fail; at most so many faults a design, drawn (0: all)."""
    for name in ALL:
        pairs = [(one, fault) for one in known(system_of(name)) for fault in one.faults()]
        if most and most < len(pairs):
            pairs = _luck.sample(pairs, most)
        for one, fault in pairs:
            wrong, met, found = tried(one, fault)
            came = f"then {found.verdict.value}" if met else "did not come"
            what = f"{fault.solver} {fault.ending}{' for good' if fault.stays else ''}, {came}"
            yield what, [f"{name}, {one.question.name}, {fault}: {text}" for text in wrong]


def workers(luck: Random, most: int) -> Told:
    """Let processes end badly; `most` is not used, there are few of them."""
    del luck, most
    for name in SMALL:
        case, races = Case.of(system_of(name), 2), Case.of(system_of(name), 16)
        for how in ENDS:
            for at in (1, 3, 8):
                for other in (False, True):
                    with ending(how, at, races=other) as came:
                        wrong, lost = (races if other else case).wrong()
                    who = "the second of a race" if other else "a claim's process"
                    what = f"{who}: {how}, {_ends(lost) if came[0] else 'did not come'}"
                    yield what, [f"{name}, {what}, at {at}: {text}" for text in wrong]
        for first in range(1, 6):
            with no_process(first, first + 2):
                wrong, lost = case.wrong()
            yield f"no process, {_ends(lost)}", wrong
        for solver, spare in ((15, 512), (18, 512), (24, 512), *((512, n) for n in (1, 4, 16, 48))):
            with little_memory(solver, spare):
                wrong, lost = case.wrong()
            yield f"little memory, {_ends(lost)}", wrong


def _ends(lost: int) -> str:
    return "answers became unknown" if lost else "all answers the same"


def stops(luck: Random, most: int) -> Told:
    """Stop commands, `most` times by Ctrl-C (0: 100) and a third as often in each other way."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        wholes = [Whole.of(one, folder / f"{n}") for n, one in enumerate(COMMANDS)]
        for way in WAYS:
            times = (most or 100) // (1 if way.name == "Ctrl-C" else 3)
            for command, moment, found, wrong in stopped(wholes, way, times, luck, folder):
                what = f"{way.name}, {'stopped' if found.status == way.status else 'was done'}"
                place = f"{command}, {way.name} after {moment:.2f} s"
                yield what, [f"{place}: {text}\n{found.err}" for text in wrong]


PARTS = {"solvers": solvers, "workers": workers, "stops": stops}


def main(arguments: Sequence[str]) -> int:
    """Print what is wrong as it is found, and counts at the end; return the exit status."""
    line = argparse.ArgumentParser(prog="python -m tests.faults", description=__doc__)
    line.formatter_class = argparse.RawDescriptionHelpFormatter
    line.add_argument("parts", nargs="*", choices=[[], *PARTS], metavar="PART")
    line.add_argument("--most", type=int, default=0, help="so many of each, drawn")
    line.add_argument("--seed", type=int, default=29, help="of what is drawn")
    wished = line.parse_args(arguments)
    sys.stdout.write(f"seed {wished.seed}\n")
    failed = False
    for name in wished.parts or PARTS:
        counts: Counter[str] = Counter()
        for what, wrong in PARTS[name](Random(wished.seed), wished.most):
            counts[what] += 1
            for text in wrong:
                failed = True
                sys.stdout.write(f"  WRONG {text}\n")
            sys.stdout.flush()
        sys.stdout.write(f"{name}: {counts.total()}\n")
        for what, count in sorted(counts.items()):
            sys.stdout.write(f"{count:>7}  {what}\n")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
