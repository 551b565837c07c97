"""Resolves short texts for tests."""

from pathlib import Path

from verifier.design import files
from verifier.design.model import Design, Net, Timer
from verifier.design.resolve import Wishes, designs_in, resolve
from verifier.source.diagnostic import Collector, Diagnostic
from verifier.source.text import Source

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
