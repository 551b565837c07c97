"""Which claims stand against each other where no setting serves them all.

Candidates are the smallest sets of claims whose known regions leave nothing open. Each of their
members is then left out in turn: where a setting serves the others, it is needed for the clash.
"""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from itertools import combinations

from verifier.logic.openings import Openings
from verifier.tuning.dials import Setting
from verifier.tuning.retune import Goal, Search

MOST_TOGETHER = 5
"""Larger sets of claims are not looked through one by one."""


@dataclass(frozen=True, slots=True)
class Clash:
    """Claims that no setting serves together.

    `without` tells for each a setting that serves all of the others, None where that is not known.
    """

    claims: tuple[str, ...]
    without: tuple[Setting | None, ...]


def clash(search: Search, claims: Sequence[str]) -> Clash:
    """Return a smallest set of claims that clash; nothing is open for all of them."""
    now = _covering(search, claims)
    while True:
        without: list[Setting | None] = []
        for left_out in now:
            rest = [one for one in now if one != left_out]
            found = search.find(rest, Goal())
            if found.at is None and found.closed and not found.unsure:
                now = rest
                break
            without.append(found.at)
        else:
            return Clash(tuple(now), tuple(without))


def _covering(search: Search, claims: Sequence[str]) -> list[str]:
    """Return the fewest claims whose regions leave nothing open."""
    with Openings(search.low, search.high) as room:
        for one in search.ruled:
            room.rule_out(one)
        blamed = [one for one in claims if one in search.regions]
        for size in range(min(MOST_TOGETHER, len(blamed)) + 1):
            for some in combinations(blamed, size):
                # What the solver cannot tell is not known to clash.
                with suppress(TimeoutError):
                    if room.find(some) is None:
                        return list(some)
    return blamed
