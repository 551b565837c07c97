"""Small designs for the tests of this reading, and what is asked of them."""

from pathlib import Path

from tests.oracles.afresh.answering import Answering
from tests.oracles.truth import Truth

HERE = Path(__file__).parent


def answering(*lines: str, above: str = "") -> Answering:
    """Read a design of some lines, with other blocks above it."""
    return Answering("\n".join([above, "design hedge {", *lines, "}"]), HERE)


def truth(claim: str, *lines: str, above: str = "") -> Truth:
    """Return what is true of a claim of a design of some lines."""
    return answering(*lines, f"claim asked: {claim}", above=above).truth("asked")
