"""Published puzzles: the fewest moves and the least time that are known, and what can't be done.

They are written in the language in tests/outside/puzzles. Each is asked from both sides: `possible
... within` the best that is known, and `no sooner than` that.
"""

from itertools import product
from math import gcd

import pytest

from tests.outside.desk import goal, puzzle, verdicts
from verifier.engines.contract import Budget
from verifier.engines.decide import Effort
from verifier.puzzle.route import find_route
from verifier.puzzle.space import Space
from verifier.puzzle.space_paths import Nothing, Order, Path, best


def answers(name: str, **values: str) -> dict[str, bool]:
    """Return which claims of a puzzle hold; all are answered for all time."""
    found = verdicts(puzzle(name), values)
    assert all(one.holds or one.fails for one in found.values()), found
    return {claim: one.holds for claim, one in found.items()}


def is_best(name: str, best: int, unit: str = "s", **values: str) -> bool:
    """Return whether so many ticks are enough, and fewer are not."""
    found = answers(name, best=f"{best} {unit}", **values)
    return found["in_time"] and found["not_sooner"]


# Wolf, goat and cabbage (classic): 7 crossings, in 2 ways, 10 states (from memory, and counted by
# search).


def test_river_takes_seven_crossings() -> None:
    assert is_best("river", 7)
    assert answers("river")["never_lost"]


def test_river_is_crossed_in_two_ways() -> None:
    found = find_route(goal("river", "in_time"), Order.TIME, Effort(2.0), listed=3)
    assert found.others is not None
    assert found.others.count == 2


def test_river_has_ten_states() -> None:
    banks = ("man_over", "wolf_over", "goat_over", "cabbage_over")
    claims = []
    for number, over in enumerate(product((False, True), repeat=len(banks))):
        places = (name if there else f"not {name}" for name, there in zip(banks, over, strict=True))
        claims.append(f"  claim at_{number}: possible {' and '.join(places)}\n")
    text = puzzle("river")
    found = verdicts(text[: text.index("  claim")] + "".join(claims) + "}\n")
    assert all(one.holds or one.fails for one in found.values())
    assert sum(one.holds for one in found.values()) == 10


# Four people of 1, 2, 5 and 10 minutes, one lamp, a bridge for two: 17 minutes (G. Rote,
# "Crossing the Bridge at Night", EATCS Bulletin 78, 2002; from memory, and by search).


def test_bridge_takes_seventeen_minutes() -> None:
    assert is_best("bridge", 17, "min")


# Towers of Hanoi (classic): 2^n - 1 moves, 3^n states (from memory).


@pytest.mark.parametrize("discs", [1, 2, 3])
def test_towers_take_two_to_the_n_less_one(discs: int) -> None:
    assert is_best("towers", 2**discs - 1, discs=str(discs))


@pytest.mark.parametrize("discs", [1, 2, 3, 4])
def test_towers_have_three_to_the_n_states(discs: int) -> None:
    """A goal that never comes makes the search go through all of them."""
    words = f"disc[{discs}] is a and disc[{discs}] is b"
    asked = goal("towers", words, {"discs": str(discs)})
    found = best(Space(asked.system, asked.node, counts=False), Order.TIME, Budget.of(10))
    assert found == Nothing(3**discs)


# Chinese rings: all n off takes (2^(n+1) - 2) / 3 moves for even n, (2^(n+1) - 1) / 3 for odd
# (E. Weisstein, "Baguenaudier").


@pytest.mark.parametrize(("rings", "best"), [(1, 1), (2, 2), (3, 5), (4, 10), (5, 21)])
def test_chinese_rings(rings: int, best: int) -> None:
    assert 3 * best == 2 ** (rings + 1) - (2 if rings % 2 == 0 else 1)
    assert is_best("rings", best, rings=str(rings))


@pytest.mark.parametrize(("rings", "moves"), [(6, 42), (7, 85)])
def test_more_chinese_rings(rings: int, moves: int) -> None:
    asked = goal("rings", "in_time", {"rings": str(rings)})
    found = best(Space(asked.system, asked.node), Order.TIME, Budget.of(10))
    assert isinstance(found, Path)
    assert found.ticks == moves


# Jugs of 5 and 3: 4 in six acts (common puzzle, from memory). What can be measured at all are the
# multiples of the greatest common divisor (M. Boldi, M. Santini, S. Vigna 2002; from memory).


def test_jugs_of_five_and_three_measure_four_in_six_acts() -> None:
    assert is_best("jugs", 6)


@pytest.mark.parametrize("wanted", range(1, 7))
def test_jugs_measure_multiples_of_what_divides_both(wanted: int) -> None:
    found = answers("jugs", large="6", small="4", wanted=str(wanted), best="60 s")
    assert found["in_time"] is (wanted % gcd(6, 4) == 0)


# Sand-glasses (common puzzle, values read): 7 and 11 measure 15, 4 and 7 measure 9; nothing that is
# made of 4 and 6 measures an odd time. test_sand_glasses.py compares all times up to 16.


@pytest.mark.parametrize(
    ("first", "second", "wanted", "told"), [(7, 11, 15, True), (4, 7, 9, True), (4, 6, 9, False)]
)
def test_sand_glasses(first: int, second: int, wanted: int, told: bool) -> None:
    values = {"first": f"{first} min", "second": f"{second} min", "wanted": f"{wanted} min"}
    assert answers("sand_glasses", **values) == {"in_time": told}


# Three pairs cross in 11, four never in a boat for two (S. Amarel, "On Representations of Problems
# of Reasoning about Actions", 1968; from memory, and by search).


def test_three_pairs_cross_in_eleven() -> None:
    assert is_best("ferry", 11)


def test_four_pairs_never_cross_in_a_boat_for_two() -> None:
    assert not answers("ferry", pairs="4")["in_time"]


# No slides swap two tiles (Johnson, Story 1879). Of five tiles in two rows the farthest there is
# takes 21 slides (from memory, and by search).


def test_tiles_may_take_twenty_one_slides() -> None:
    asked = goal("slide", "rows_swapped")
    found = best(Space(asked.system, asked.node), Order.TIME, Budget.of(10))
    assert isinstance(found, Path)
    assert found.ticks == 21


def test_tiles_keep_their_parity() -> None:
    asked = goal("slide", "parity")
    found = best(Space(asked.system, asked.node, counts=False), Order.TIME, Budget.of(10))
    assert found == Nothing(360)
