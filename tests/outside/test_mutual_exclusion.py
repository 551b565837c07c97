"""Two people and one summer house, by notices alone: published ways, right and wrong.

G. L. Peterson, "Myths about the Mutual Exclusion Problem", IPL 12(3), 1981. T. J. Dekker's way, in
E. W. Dijkstra, "Cooperating Sequential Processes", 1965. H. Hyman, "Comments on a Problem in
Concurrent Programming Control", CACM 9(1), 1966, refuted by D. E. Knuth in CACM 9(5). All from
memory. At each tick one of the two takes one step, and who does is anyone's choice.
"""

from dataclasses import dataclass

import pytest

from tests.outside.desk import broken, verdicts

# A step reads or writes one notice: who wants to get in, and whose turn it is.
DESIGN = """
kind visitor {
  in  steps: signal
  in  other_wants: signal
  in  turn_mine: signal
  free asks: signal
  keep wants: flag
  keep at: one of (PLACES)
  wants becomes yes when steps and (WANT), no when steps and (DROP)
  at becomes
    MOVES
  let gives_turn = steps and (GIVE)
  let takes_turn = steps and (TAKE)
  out inside: signal = at is inside
  out waits: signal = at is waits
}

design house {
  free who: one of (nobody, first, second)
  keep turn_second: flag
  one : visitor
  two : visitor
  one.steps when who is first
  two.steps when who is second
  one.other_wants when two.wants
  two.other_wants when one.wants
  one.turn_mine when not turn_second
  two.turn_mine when turn_second
  turn_second becomes
    yes when one.gives_turn or two.takes_turn,
    no when one.takes_turn or two.gives_turn
  claim alone: never one.inside and two.inside
  claim gets_in: always possible one.inside
  claim other_gets_in: always possible two.inside
}
"""

PASSED = """
  claim passed_once: while one.waits: two.inside at most 1 time in any 1 h
  claim not_passed: while one.waits: never two.inside
}
"""


@dataclass(frozen=True, slots=True)
class Way:
    """The steps of one visitor: `moves` from place to place, the rest says what a step writes."""

    moves: tuple[tuple[str, str, str], ...]  # from, when besides, to
    want: str
    drop: str
    give: str = "no"
    take: str = "no"

    @property
    def text(self) -> str:
        """The design."""
        places = dict.fromkeys(["away", *(to for _, _, to in self.moves)])
        moves = ",\n    ".join(
            f"{to} when steps and at is {at}" + (f" and {when}" if when else "")
            for at, when, to in self.moves
        )
        text = DESIGN.replace("PLACES", ", ".join(places)).replace("MOVES", moves)
        text = text.replace("WANT", self.want).replace("DROP", self.drop)
        return text.replace("GIVE", self.give).replace("TAKE", self.take)


# Want; give the turn away; wait while the other wants and has the turn.
PETERSON = Way(
    moves=(
        ("away", "asks", "gives"),
        ("gives", "", "waits"),
        ("waits", "(not other_wants or turn_mine)", "inside"),
        ("inside", "", "away"),
    ),
    want="at is away and asks",
    drop="at is inside",
    give="at is gives",
)

# The same with its first two lines in the other order.
SWAPPED = Way(
    moves=(
        ("away", "asks", "wishes"),
        ("wishes", "", "waits"),
        ("waits", "(not other_wants or turn_mine)", "inside"),
        ("inside", "", "away"),
    ),
    want="at is wishes",
    drop="at is inside",
    give="at is away and asks",
)

# Want; while the other wants too, whoever has not the turn wants no more until it has.
DEKKER = Way(
    moves=(
        ("away", "asks", "looks"),
        ("looks", "not other_wants", "inside"),
        ("looks", "not turn_mine", "lowers"),
        ("lowers", "", "waits"),
        ("waits", "turn_mine", "looks"),
        ("inside", "", "leaves"),
        ("leaves", "", "away"),
    ),
    want="at is away and asks or at is waits and turn_mine",
    drop="at is lowers or at is leaves",
    give="at is inside",
)

# Want; who has not the turn waits until the other does not want, and takes the turn.
HYMAN = Way(
    moves=(
        ("away", "asks", "looks"),
        ("looks", "turn_mine", "inside"),
        ("looks", "", "waits"),
        ("waits", "not other_wants", "grabs"),
        ("grabs", "", "looks"),
        ("inside", "", "away"),
    ),
    want="at is away and asks",
    drop="at is inside",
    take="at is grabs",
)


@pytest.mark.parametrize(
    ("way", "wrong"),
    [(PETERSON, set()), (DEKKER, set()), (SWAPPED, {"alone"}), (HYMAN, {"alone"})],
    ids=["peterson", "dekker", "swapped", "hyman"],
)
def test_published_ways(way: Way, wrong: set[str]) -> None:
    found = verdicts(way.text)
    assert {name for name, one in found.items() if not one.holds} == wrong
    # Knuth: the second wants, looks and sees nobody; the first goes in; the second takes the turn.
    assert way is not HYMAN or found["alone"].earliest == 7


def test_who_waits_is_passed_once_at_the_most_by_petersons_way() -> None:
    assert broken(PETERSON.text.split("  claim")[0] + PASSED) == {"not_passed"}
