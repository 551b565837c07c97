"""Tries what nobody would give: `python -m tests.hostile --tries N --seed S`.

Each try makes an input by a dice of its own, takes it through a part of the program and looks at
what came of it: no exception, no message without code, place and mend, nothing printed that steers
a terminal, no more than so much time and memory. A table counts them; each find is told with the
sort, the seed and the number that make it again (`--only SORT --first NUMBER --tries 1`).

`python -m tests.hostile.guided` lets coverage choose the inputs instead.
"""

import argparse
import sys
import time
from collections.abc import Mapping, Sequence

from tests.hostile.campaign import HEAD, Find, tried
from tests.hostile.tries import SORTS, WHOLE, Sort

WHOLE_SECONDS = 60.0
ROUND = 10_000


def say(text: str) -> None:
    """Write a line that is seen at once, with letters that steer shown by their numbers."""
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


def tell(find: Find) -> None:
    """Tell of a find."""
    say(f"FIND {find.sort}, seed {find.seed}, try {find.number}\n  {find.text!r}\n  {find.words}")


def plan(tries: int, only: str | None) -> Mapping[str, tuple[Sort, int]]:
    """Return how often each sort is tried."""
    if only is not None:
        return {only: ({**SORTS, "commands": WHOLE}[only], tries)}
    whole = sum(sort.share for sort in SORTS.values())
    return {name: (sort, tries * sort.share // whole) for name, sort in SORTS.items()}


def main(arguments: Sequence[str]) -> int:
    """Print a table, and each find; return the exit status: 1 where there is one."""
    parser = argparse.ArgumentParser(prog="python -m tests.hostile", description=__doc__)
    parser.add_argument("--tries", type=int, default=20_000)
    parser.add_argument("--commands", type=int, default=0, metavar="N", help="whole commands")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--only", choices=[*SORTS, "commands"])
    parser.add_argument("--first", type=int, default=0, help="number of the first try")
    given = parser.parse_args(arguments)
    wanted = dict(plan(given.tries, given.only))
    if given.commands:
        wanted["commands"] = (WHOLE, given.commands)
    begun = time.monotonic()
    say(HEAD)
    finds = total = 0
    for name, (sort, tries) in wanted.items():
        seconds = {"seconds": WHOLE_SECONDS} if sort is WHOLE else {}
        found = tried(
            name, sort, tries=tries, seed=given.seed, first=given.first, told=tell, **seconds
        )
        say(found.line(name))
        finds += len(found.finds)
        total += tries
    say(f"{total} tries, {finds} finds, {time.monotonic() - begun:.0f} s, seed {given.seed}")
    return 1 if finds else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
