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
    """A finding with its reason; `words` are empty where evidence is sound.

    `by` names who looked at evidence that is sound.
    """

    finding: Finding
    words: str = ""
    by: tuple[str, ...] = ()

    @property
    def sound(self) -> bool:
        """Whether the evidence may be relied on."""
        return self.finding is Finding.SOUND


SIMULATOR = ("the simulator",)
SOLVER = ("z3",)
BOTH = ("z3", "cvc5")

SOUND = Ruling(Finding.SOUND, by=SIMULATOR)
"""Found by looking at single ticks in the reference simulator."""


def sound(by: tuple[str, ...]) -> Ruling:
    """Return: the evidence may be relied on, as these have found."""
    return Ruling(Finding.SOUND, by=by)


def together(*rulings: Ruling) -> Ruling:
    """Return the first that is not sound; else sound, by all who looked at any of them.

    The second solver is named only where it agreed with each thing that the first one said.
    """
    for ruling in rulings:
        if not ruling.sound:
            return ruling
    names = {name for ruling in rulings for name in ruling.by}
    if any(SOLVER[0] in ruling.by and BOTH[1] not in ruling.by for ruling in rulings):
        names -= {BOTH[1]}
    return sound(tuple(name for name in (*BOTH, *SIMULATOR) if name in names))


def wrong(words: str) -> Ruling:
    """Return: the evidence does not show what it should, for this reason."""
    return Ruling(Finding.WRONG, words)


def unsure(words: str) -> Ruling:
    """Return: the evidence could not be judged, for this reason."""
    return Ruling(Finding.UNSURE, words)
