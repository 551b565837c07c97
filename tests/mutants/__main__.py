"""Counts the mutants that no test sees: `python -m tests.mutants [FILE...]`.

Without files all of tests/mutants/targets.py are taken. A survivor is a change that could slip in
unseen; those that were looked at and cannot make a wrong "holds" stand in harmless.toml, each with
its reason. Any other makes the command fail, and so does an entry there that fits nothing. An entry
whose mutants a test sees by now is named, so that it can be taken out.
"""

import argparse
import ast
import sys
import tomllib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from random import Random

from tests.mutants.changes import Mutant, mutants
from tests.mutants.targets import ROOT, TARGETS
from tests.mutants.trial import Result, Trials

HEAD = f"{'file':<32}{'mutants':>9}{'killed':>9}{'endless':>9}{'harmless':>10}{'left':>7}"


@dataclass(slots=True)
class Count:
    """What became of the mutants of a file.

    `dated` are entries of harmless.toml without one, `seen` those whose mutants were all killed.
    """

    results: Counter[Result] = field(default_factory=Counter)
    left: list[Mutant] = field(default_factory=list)
    dated: list[str] = field(default_factory=list)
    seen: list[str] = field(default_factory=list)

    def line(self, file: str) -> str:
        """Return a row of the table."""
        killed, endless = self.results[Result.KILLED], self.results[Result.ENDLESS]
        harmless = self.results[Result.SURVIVED] - len(self.left)
        tried = self.results.total()
        return f"{file:<32}{tried:>9}{killed:>9}{endless:>9}{harmless:>10}{len(self.left):>7}"


def harmless() -> Mapping[str, frozenset[str]]:
    """Return the names of the survivors that were looked at, by file."""
    text = (ROOT / "tests/mutants/harmless.toml").read_text(encoding="utf-8")
    return {
        file: frozenset(name for one in reasons for name in one["mutants"])
        for file, reasons in tomllib.loads(text).items()
    }


def say(text: str) -> None:
    """Write a line that is seen at once."""
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


def count(file: str, most: int, seed: int) -> Count:
    """Try the mutants of a file, at most so many of them (0: all), drawn by a seed."""
    tree = ast.parse((ROOT / file).read_text(encoding="utf-8"))
    found, known = mutants(tree), harmless().get(file, frozenset())
    counted = Count(dated=sorted(known - {one.name for one in found}))
    survived = set[str]()

    def told(mutant: Mutant, result: Result) -> None:
        counted.results[result] += 1
        if result is Result.SURVIVED:
            survived.add(mutant.name)
        if result is Result.SURVIVED and mutant.name not in known:
            counted.left.append(mutant)
            say(f"  line {mutant.line}, {mutant.kind}: {mutant.name}")

    if most and most < len(found):
        fresh = [one for one in found if one.name not in known]
        found = Random(seed).sample(fresh, most)
    module = file.removesuffix(".py").replace("/", ".")
    trials = Trials(module, tree, TARGETS[file], found, told)
    trials.run()
    if trials.as_it_is is not Result.SURVIVED:
        sys.exit(f"the tests of {file} fail as it is: {' '.join(TARGETS[file])}")
    counted.seen = sorted(known & {one.name for one in found} - survived)
    return counted


def main(arguments: Sequence[str]) -> int:
    """Print a line for each file, and each survivor; return the exit status."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutants", description=__doc__)
    parser.add_argument("files", nargs="*", default=list(TARGETS), metavar="FILE")
    parser.add_argument("--most", type=int, default=0, help="try so many of each file, drawn")
    parser.add_argument("--seed", type=int, default=0, help="which ones are drawn")
    wished = parser.parse_args(arguments)
    strange = [file for file in wished.files if file not in TARGETS]
    if strange:
        parser.error(f"no tests are known for {', '.join(strange)}; see tests/mutants/targets.py")
    say(HEAD)
    well = True
    for file in wished.files:
        one = count(file, wished.most, wished.seed)
        well = well and not one.left and not one.dated
        say(one.line(file))
        for name in one.dated:
            say(f"  in harmless.toml, but no mutant any more: {name}")
        for name in one.seen:
            say(f"  in harmless.toml, but a test sees it now: {name}")
    return 0 if well else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
