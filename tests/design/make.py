"""Resolves short texts for tests."""

from functools import cache
from pathlib import Path

from verifier.design import files
from verifier.design.model import Design, Net, Timer
from verifier.design.resolve import Wishes, designs_in, resolve
from verifier.source.diagnostic import Collector, Diagnostic
from verifier.source.text import Source
from verifier.system.fold import evaluate
from verifier.system.lower import lower
from verifier.system.model import System

HERE = Path(__file__).resolve().parent


def resolved(text: str, wishes: Wishes | None = None) -> tuple[Design | None, list[Diagnostic]]:
    """Return the first design of a text, None if it has errors, and all that was told."""
    collector = Collector()
    unit = files.of_source(Source("garden.latch", text), HERE / "garden.latch", collector)
    if unit is None:
        return None, collector.found
    return resolve(designs_in(unit)[0], unit, collector, wishes), collector.found


def design(text: str, wishes: Wishes | None = None) -> Design:
    """Return the design of a text that has no errors."""
    found, told = resolved(text, wishes)
    assert found is not None, told
    return found


def codes(text: str, wishes: Wishes | None = None) -> list[str]:
    """Return the codes of all that is told about a text, in order."""
    return [one.code for one in resolved(text, wishes)[1]]


def net(found: Design, path: str) -> Net:
    """Return the net with a path."""
    return next(one for one in found.nets if one.path == path)


def timer(found: Design, path: str) -> Timer:
    """Return the timer with a path."""
    return next(one for one in found.timers if one.path == path)


@cache
def lowered(text: str) -> System:
    return lower(design(text))


def says(text: str, path: str, **values: int) -> bool:
    """Return what a flag of a design says where timers and free things have these values."""
    system = lowered(text)
    (node,) = system.shown[path].nodes
    choices = [values.get(choice.name, 0) for choice in system.choices]
    clocks = [values.get(clock.name.rpartition(".")[2], 0) for clock in system.clocks]
    registers = [False] * len(system.registers)
    return evaluate([node], choices, registers, clocks)[node.number]
