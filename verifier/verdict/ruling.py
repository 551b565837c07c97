"""What the judge finds when looking at a piece of evidence."""

from dataclasses import dataclass
from enum import Enum


class Finding(Enum):
    """Whether evidence shows what it is said to show."""

    SOUND = "sound"
    WRONG = "wrong"
    UNSURE = "unsure"


@dataclass(frozen=True, slots=True)
class Ruling:
    """A finding with its reason; `words` are empty where evidence is sound."""

    finding: Finding
    words: str = ""

    @property
    def sound(self) -> bool:
        """Whether the evidence may be relied on."""
        return self.finding is Finding.SOUND


SOUND = Ruling(Finding.SOUND)


def wrong(words: str) -> Ruling:
    """Return: the evidence does not show what it should, for this reason."""
    return Ruling(Finding.WRONG, words)


def unsure(words: str) -> Ruling:
    """Return: the evidence could not be judged, for this reason."""
    return Ruling(Finding.UNSURE, words)
