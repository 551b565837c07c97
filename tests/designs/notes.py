"""What the demo designs say of themselves: the verdict that is noted beside each claim.

A claim ends its line with `# holds`, `# holds, for ever`, `# fails` or `# unknown so far`, after
which `: why` may follow. What is built in holds, unless a line of its own says `# built in NAME:
VERDICT`.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from verifier import pipeline
from verifier.design.model import Claim, Design
from verifier.source.diagnostic import Collector

FOLDER = Path(__file__).parents[2] / "designs"
PATHS = tuple(sorted(FOLDER.glob("*.latch")))

_VERDICT = r"(?P<verdict>holds, for ever|holds|fails|unknown so far)"
_BESIDE = re.compile(rf"#\s*{_VERDICT}(?::|\s*$)")
_BUILT_IN = re.compile(rf"^\s*# built in (?P<name>\w+): {_VERDICT}\s*$", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Noted:
    """The verdict that a design's file notes for a claim; None where it notes none."""

    name: str
    verdict: str | None


def design_of(path: Path) -> Design:
    """Return the one design of a file, which must resolve without even a warning."""
    collector = Collector()
    (design,) = pipeline.designs(path, collector)
    assert collector.found == []
    return design


def noted(design: Design) -> Iterator[Noted]:
    """Yield what is noted beside each claim of a design."""
    built_in = {one["name"]: one["verdict"] for one in _BUILT_IN.finditer(_text(design))}
    for claim in design.claims:
        if claim.built_in is not None:
            yield Noted(claim.name, built_in.get(claim.name, "holds, for ever"))
        else:
            yield Noted(claim.name, _beside(claim))


def _text(design: Design) -> str:
    return design.span.source.text


def _beside(claim: Claim) -> str | None:
    source = claim.span.source
    found = _BESIDE.search(source.line_text(source.line_of(claim.span.end - 1)))
    return None if found is None else found["verdict"]
