"""What the bench must show, and how far a run of it did."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from tests.bank.garden import Garden
from tests.bench.measure import Measured

SOON = 2.0
"""Seconds within which each claim is decided."""

ALIKE = 1.5
"""How many times as long one tick may take as another."""

SHORT = 0.1
"""Seconds: of shorter times it is not asked whether they are alike, chance is too much of them."""


@dataclass(frozen=True, slots=True)
class Row:
    """A claim of a garden, measured at its coarse tick and at the fine one."""

    garden: Garden
    claim: str
    coarse: Measured
    fine: Measured

    @property
    def name(self) -> str:
        """Return garden and claim."""
        return f"{self.garden.name}: {self.claim}"

    @property
    def right(self) -> bool:
        """Whether the verdict is the known one at both ticks."""
        return self.coarse.right and self.fine.right

    @property
    def slowest(self) -> float:
        """Return the longer of both times."""
        return max(self.coarse.seconds, self.fine.seconds)

    @property
    def ratio(self) -> float:
        """Return how many times as long the fine tick takes as the coarse one, at the quickest."""
        return self.fine.quickest / max(self.coarse.quickest, 1e-9)

    @property
    def alike(self) -> bool:
        """Whether neither tick takes much longer than the other."""
        longer = max(self.coarse.quickest, self.fine.quickest)
        return longer <= SHORT or 1 / ALIKE <= self.ratio <= ALIKE


@dataclass(frozen=True, slots=True)
class Goal:
    """Something that must be so of all rows that it is about."""

    words: str
    about: Callable[[Row], bool]
    met: Callable[[Row], bool]

    def missed(self, rows: Sequence[Row]) -> list[Row]:
        """Return the rows that do not meet it, the slowest first."""
        found = [row for row in rows if self.about(row) and not self.met(row)]
        return sorted(found, key=lambda row: -row.slowest)

    def tried(self, rows: Sequence[Row]) -> int:
        """Return how many rows it is about."""
        return sum(map(self.about, rows))


def _vestibule(state: str) -> Callable[[Row], bool]:
    return lambda row: (
        row.garden.family == "vestibule"
        and row.garden.size.startswith(state)
        and row.claim == "apart"
    )


def _sixteen_levers(row: Row) -> bool:
    return row.garden.family == "lever lock" and row.garden.size.startswith("16")


def _right(row: Row) -> bool:
    return row.right


def _soon(row: Row) -> bool:
    return row.right and row.slowest < SOON


GOALS: tuple[Goal, ...] = (
    Goal("each claim gets its known verdict, for ever, at both ticks", lambda _: True, _right),
    Goal(f"each is decided within {SOON:g} s at both ticks", lambda _: True, _soon),
    Goal(
        f"the ticks take alike, within a factor of {ALIKE:g}",
        lambda row: row.right,
        lambda row: row.alike,
    ),
    Goal(f"sixteen levers take less than {SOON:g} s", _sixteen_levers, _soon),
    Goal("the mended vestibule is proved for ever, free and held", _vestibule("mended"), _right),
    Goal("the half-mended vestibule is refuted, free and held", _vestibule("half"), _right),
)


def summary(rows: Sequence[Row]) -> Iterator[tuple[Goal, int, list[Row]]]:
    """Yield each goal that was tried, with how often, and the rows that miss it."""
    for goal in GOALS:
        tried = goal.tried(rows)
        if tried:
            yield goal, tried, goal.missed(rows)
