"""The bench: every family of designs of the bank, at a coarse tick and at 10 ms, timed.

    python -m tests.bench                        all families
    python -m tests.bench "lever lock" taps      some of them
    python -m tests.bench --size 16 --repeats 1  only what is of such a size

It says at the end which goals are met; the exit status is 0 if all are, else 1.
"""

import argparse
import sys
from collections.abc import Iterator, Sequence

from rich.console import Console

from tests.bank.families import FAMILIES
from tests.bank.garden import FINE, Garden
from tests.bench.goals import Row
from tests.bench.measure import Wish, measured
from tests.bench.table import show_family, show_goals


def rows(garden: Garden, claims: Sequence[str], wish: Wish) -> Iterator[Row]:
    """Measure the claims of a garden, all of its own unless some are named."""
    for claim in garden.claims:
        if claims and claim.name not in claims:
            continue
        coarse, fine = measured(garden, claim.name, (garden.coarse, FINE), wish)
        yield Row(garden, claim.name, coarse, fine)


def wished(arguments: Sequence[str]) -> argparse.Namespace:
    """Read the command line."""
    line = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    line.formatter_class = argparse.RawDescriptionHelpFormatter
    line.add_argument("family", nargs="*", choices=[[], *FAMILIES], help="all, if none is named")
    line.add_argument("--size", default="", help="only gardens whose size has this in its name")
    line.add_argument("--claim", action="append", default=[], help="only claims of this name")
    line.add_argument("--repeats", type=int, default=3, help="times a claim is decided (3)")
    line.add_argument("--jobs", type=int, default=0, help="cores for a claim (0: all)")
    line.add_argument("--effort", type=float, default=2.0, help="as of `latchwork check` (2)")
    line.add_argument(
        "--busy",
        action="store_true",
        help="count what processors spend, not the clock: for a machine with other work",
    )
    return line.parse_args(arguments)


def main(arguments: Sequence[str], console: Console) -> int:
    """Measure and show; return the exit status."""
    asked = wished(arguments)
    wish = Wish(max(1, asked.repeats), asked.jobs, asked.effort, asked.busy)
    every: list[Row] = []
    for family in asked.family or FAMILIES:
        gardens = [make() for make in FAMILIES[family]]
        found = [
            row
            for garden in gardens
            if asked.size in garden.size
            for row in rows(garden, asked.claim, wish)
        ]
        if found:
            show_family(console, family, found)
        every += found
    return 0 if show_goals(console, every) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:], Console()))
