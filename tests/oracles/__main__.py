"""Random designs in the whole language: each answer of the verifier beside five oracles.

    python -m tests.oracles --designs 5000 --seed 1

A design that an oracle denies is shrunk and written to the folder of finds; there it is a test.
The exit status is 0 if all agree, else 1.
"""

import argparse
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from rich.console import Console
from rich.table import Table

from tests.oracles.compare import ORACLES, Tally
from tests.oracles.drawn import CHUNK, How, look
from tests.strategies.estates import HOME

COLUMNS = ("agreed", "not decided", "verifier unsure", "disagreed")


def table(tally: Tally) -> Table:
    """Return what was compared, one row an oracle."""
    shown = Table(box=None, padding=(0, 2, 0, 0))
    for name in ("oracle", "compared", *COLUMNS):
        shown.add_column(name, justify="left" if name == "oracle" else "right")
    for name in ORACLES:
        counts = tally.oracles[name]
        compared = counts["agreed"] + counts["disagreed"]
        shown.add_row(name, str(compared), *(str(counts[one]) for one in COLUMNS))
    return shown


def main(arguments: Sequence[str], console: Console) -> int:
    """Draw, compare and tell; return the exit status."""
    line = argparse.ArgumentParser(prog="python -m tests.oracles", description=__doc__)
    line.formatter_class = argparse.RawDescriptionHelpFormatter
    line.add_argument("--designs", type=int, default=5_000, help="how many (5000)")
    line.add_argument("--seed", type=int, default=1, help="of the first of them (1)")
    line.add_argument("--effort", type=float, default=0.3, help="as of `latchwork check` (0.3)")
    line.add_argument(
        "--whole",
        action="store_true",
        help="with margins and short runs, in processes of their own",
    )
    line.add_argument("--into", type=Path, default=HOME.parent, help="folder of finds")
    asked = line.parse_args(arguments)
    begun, tally, finds = time.process_time(), Tally(), 0
    for chunk in range(-(-asked.designs // CHUNK)):
        many = min(CHUNK, asked.designs - chunk * CHUNK)
        found = look(asked.seed, chunk, many, tally, How(asked.effort, asked.whole))
        if found is not None:
            finds += 1
            path = asked.into / f"seed_{asked.seed}_{chunk}.latch"
            path.write_text(f"# {found.why}\n{found.text}", encoding="utf-8")
            console.print(f"{path}: {found.why}", style="red", highlight=False)
        if chunk % 10 == 9:
            console.print(f"{chunk * CHUNK + many} designs, {finds} finds", highlight=False)
    console.print(
        f"seed {asked.seed}, {time.process_time() - begun:.0f} s of one core", highlight=False
    )
    for name, number in (*tally.designs.items(), *tally.claims.items()):
        console.print(f"{number:7} {name}", highlight=False)
    console.print(table(tally))
    return 1 if finds else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:], Console()))
