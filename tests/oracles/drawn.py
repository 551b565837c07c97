"""Designs drawn by seed and compared, a chunk at a time; what fails is shrunk."""

from collections.abc import Callable
from dataclasses import dataclass

from hypothesis import HealthCheck, Phase, given, seed, settings

from tests.oracles.compare import Disagreement, Tally, compare
from tests.strategies.estates import estates

CHUNK = 50
"""So many designs are drawn from one seed; a find ends its chunk."""


@dataclass(frozen=True, slots=True)
class Found:
    """A design that an oracle denies an answer of, as small as it could be made, and why."""

    text: str
    why: str


@dataclass(frozen=True, slots=True)
class How:
    """How answers are got: with which effort; `whole`: as `latchwork check` gets them."""

    effort: float = 0.3
    whole: bool = False


def look(start: int, chunk: int, designs: int, tally: Tally, how: How) -> Found | None:
    """Compare some designs; return one that was denied, None where none was."""
    failing: list[Found] = []

    def one(text: str) -> None:
        # While a failing design is made smaller nothing is counted.
        counted = Tally() if failing else tally
        try:
            compare(text, counted, how.effort, whole=how.whole)
        except Exception as error:
            why = str(error) if isinstance(error, Disagreement) else repr(error)
            failing.append(Found(text, why))
            raise

    try:
        _draw(one, start * 1_000_003 + chunk, designs)
    except Exception:
        if not failing:
            raise
        return failing[-1]
    return None


def texts(start: int, designs: int) -> list[str]:
    """Return some designs as they are drawn."""
    found: list[str] = []
    _draw(found.append, start, designs)
    return found


def _draw(one: Callable[[str], None], start: int, designs: int) -> None:
    """Draw designs from a seed, and shrink the first for which something is raised."""

    def compared(text: str) -> None:
        one(text)

    drawn = settings(
        max_examples=designs,
        database=None,
        deadline=None,
        phases=(Phase.generate, Phase.shrink),
        suppress_health_check=list(HealthCheck),
        report_multiple_bugs=False,
    )(given(estates())(compared))
    seed(start)(drawn)()
