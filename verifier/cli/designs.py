"""Designs as the commands read them; apart, since the way to the engines takes long to load."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from verifier.design.model import Design
from verifier.design.resolve import Wishes
from verifier.pipeline import designs
from verifier.source.diagnostic import Collector


def read(
    paths: Sequence[Path], values: Mapping[str, str], finer: int = 1
) -> tuple[list[Design], Collector]:
    """Return the designs of all files; and what is to be told of them."""
    collector = Collector()
    found = [design for path in paths for design in designs(path, collector, Wishes(values, finer))]
    return found, collector
