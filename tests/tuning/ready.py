"""Designs made ready for tests of rhythm and units."""

from pathlib import Path

from verifier.design import files
from verifier.design.model import Design
from verifier.design.resolve import Wishes, designs_in, resolve
from verifier.source.diagnostic import Collector
from verifier.source.text import Source

DESIGNS = Path(__file__).parents[2] / "designs"

DRY = """\
design dry {
  mains : supply(2)
  first : tap(2)
  near : lamp(draw: 1)
  far : lamp(draw: 2)
  mains -> first
  first.side -> near
  first.rest -> far
  claim lit: always near
}
"""
"""With its two units the second lamp gets none, as the tap takes both."""


def made(text: str, **values: str) -> Design:
    """Return the one design of a text, with settings by name."""
    collector = Collector()
    unit = files.of_source(Source("ready.latch", text), Path("ready.latch"), collector)
    assert unit is not None, collector.found
    (block,) = designs_in(unit)
    design = resolve(block, unit, collector, Wishes(values))
    assert design is not None, collector.found
    return design


def shipped(name: str) -> str:
    """Return the text of a demo design."""
    return (DESIGNS / f"{name}.latch").read_text(encoding="utf-8")
