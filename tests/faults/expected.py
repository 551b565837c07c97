"""What an answer may be when something broke on the way to it: the same, or honestly less."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from tests.repo.tree import ROOT
from verifier.engines.decide import Effort
from verifier.pipeline import designs
from verifier.source.diagnostic import Collector
from verifier.system.lower import lower
from verifier.system.model import System
from verifier.verdict.answer import Outcome, Reach, Verdict

SMALL = ("vestibule_half", "vestibule_mended", "stairway")
"""Designs in whose claims all solvers have a part, and which take less than a second."""

ALL = (
    *SMALL,
    "drowsy_bell",
    "fountain",
    "glasshouse",
    "hour_bell",
    "lantern_walk",
    "lever_lock",
    "lever_vault",
    "lever_vault_bypass",
    "lever_vault_trap",
    "maze",
    "trapdoor",
    "vestibule",
)
"""All demo designs that ask a solver anything."""

EFFORT = Effort(1.0, certificates=True)


def design_file(name: str) -> Path:
    return ROOT / "designs" / f"{name}.latch"


def system_of(name: str) -> System:
    """Return the system of a demo design."""
    (design,) = designs(design_file(name), Collector())
    return lower(design)


def misfits(reference: Outcome, found: Outcome, silent: Sequence[str] = ()) -> Iterator[str]:
    """Say what is wrong with an answer; `silent` are those who cannot have accepted anything."""
    if found.verdict is Verdict.UNKNOWN:
        if not found.reason.strip():
            yield "unknown, and no reason is told"
        return
    if found.verdict is not reference.verdict:
        yield f"{found.verdict.value}, where it is {reference.verdict.value}"
    if found.reach is not reference.reach and found.reach is not Reach.UP_TO:
        yield "it reaches further than what is known"
    if not found.by:
        yield f"{found.verdict.value}, and nobody has judged it"
    for name in silent:
        if name in found.by:
            yield f"it is said to be accepted by {name}, which said nothing"
