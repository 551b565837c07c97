"""A test bench for parts: a design, what people do at each tick, and what its nets then show."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from hypothesis import strategies as st

from verifier import pipeline
from verifier.design import files
from verifier.design.resolve import designs_in, resolve
from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.system.cone import whole
from verifier.system.model import System
from verifier.system.program import Program, program
from verifier.system.state import start_of

Levels = Sequence[bool]


def levels(longest: int = 7) -> st.SearchStrategy[list[bool]]:
    """Return levels of a signal, tick by tick, in stretches of so many ticks at most."""
    lengths = st.one_of(st.integers(1, 2), st.integers(1, longest))
    stretches = st.lists(lengths, min_size=8, max_size=20)

    def of_stretches(first: bool, ticks: list[int]) -> list[bool]:
        return [
            first == (place % 2 == 0) for place, count in enumerate(ticks) for _ in range(count)
        ]

    return st.builds(of_stretches, st.booleans(), stretches)


@dataclass(frozen=True, slots=True, eq=False)
class Bench:
    """A design on the bench; `shown` are the nets that are read, in order."""

    system: System
    program: Program
    shown: tuple[str, ...]

    def run(self, free: Mapping[str, Levels]) -> list[dict[str, int]]:
        """Return what is shown at each tick; choices that are not named rest."""
        at, found = start_of(self.system), []
        rest = (0,) * len(self.system.clocks)
        for tick in range(len(next(iter(free.values())))):
            choices = tuple(
                int(free[one.name][tick]) if one.name in free else 0 for one in self.system.choices
            )
            at, values = self.program.step(at, choices, rest)
            found.append(self._read(values))
        return found

    def _read(self, values: Sequence[bool]) -> dict[str, int]:
        """A flag is 0 or 1, a number itself, a choice the position of its option."""
        read, first = {}, 0
        for path in self.shown:
            bits = self.system.shown[path]
            own = values[first : first + len(bits.nodes)]
            first += len(bits.nodes)
            read[path] = bits.low + sum(own)
        return read


def bench(body: str, *shown: str) -> Bench:
    """Put the body of a design on the bench; nothing may be wrong with it but warnings."""
    collector = Collector()
    source = Source("bench.latch", f"design bench {{\n{body}\n}}\n")
    unit = files.of_source(source, Path("bench.latch"), collector)
    assert unit is not None, collector.found
    (block,) = designs_in(unit)
    design = resolve(block, unit, collector)
    assert design is not None, collector.found
    system = pipeline.lowered(design)
    roots = [node for path in shown for node in system.shown[path].nodes]
    return Bench(system, program(whole(system, roots)), shown)


def traced(runs: Sequence[Mapping[str, int]], path: str) -> list[bool]:
    """Return the levels of one flag."""
    return [bool(one[path]) for one in runs]


def starts(given_levels: Sequence[bool]) -> Iterator[int]:
    """Yield the ticks at which a level starts; what is live at tick 0 starts there."""
    for tick, (was, level) in enumerate(pairwise([False, *given_levels])):
        if level and not was:
            yield tick
