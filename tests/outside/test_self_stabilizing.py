"""E. W. Dijkstra, "Self-stabilizing Systems in Spite of Distributed Control", CACM 17(11), 1974.

A ring of n machines with K states each (the first solution; from memory). The bottom one may move
where it equals its left neighbour, and counts on; any other where it differs, and copies. One that
may move has the privilege. Whatever state the ring is left in, in the end exactly one machine has
it, and for ever, where K is large enough. How many moves that takes at the worst, one
machine moving at a time, is worked out here by a search over plain states: there is an end for K =
n - 1 and more.
"""

from itertools import product

import pytest

from tests.outside.desk import broken

DESIGN = """
design ring {
  free who: count 1 .. MACHINES
  for i in 1..MACHINES { keep s[i]: count 0 .. STATES }
  let may[1] = s[1] = s[MACHINES]
  for i in 2..MACHINES { let may[i] = s[i] != s[i - 1] }
  # Somebody's choice who moves; where that one may not, the first that may.
  let chosen = any of picks
  for i in 1..MACHINES {
    let picks[i] = who = i and may[i]
    let moves[i] = picks[i] or not chosen and may[i] and below[i]
  }
  let below[1] = yes
  for i in 2..MACHINES { let below[i] = below[i - 1] and not may[i - 1] }
  s[1] becomes 0 when moves[1] and s[1] = STATES, s[1] + 1 when moves[1]
  for i in 2..MACHINES { s[i] becomes s[i - 1] when moves[i] }
  let legal = exactly 1 of may
CLAIMS
}
"""


def successors(state: tuple[int, ...], states: int) -> list[tuple[int, ...]]:
    found = []
    for place, value in enumerate(state):
        if place == 0 and value == state[-1]:
            found.append(((value + 1) % states, *state[1:]))
        elif place > 0 and value != state[place - 1]:
            found.append((*state[:place], state[place - 1], *state[place + 1 :]))
    return found


def worst(machines: int, states: int) -> int | None:
    """Return the most moves up to a state with one privilege; None where there is no end."""
    left = {
        state
        for state in product(range(states), repeat=machines)
        if len(successors(state, states)) > 1
    }
    moves = 0
    while left:
        over = {state for state in left if not left.intersection(successors(state, states))}
        if not over:
            return None
        left -= over
        moves += 1
    return moves


def ring(machines: int, states: int, claims: str) -> str:
    text = DESIGN.replace("MACHINES", str(machines)).replace("STATES", str(states - 1))
    return text.replace("CLAIMS", claims)


@pytest.mark.parametrize(("machines", "states"), [(3, 2), (4, 3)])
def test_settles_from_anywhere(machines: int, states: int) -> None:
    moves = worst(machines, states)
    assert moves is not None
    claims = f"""
  claim settles: from anywhere: eventually legal within {moves} ticks
  claim sooner: from anywhere: eventually legal within {moves - 1} ticks"""
    assert broken(ring(machines, states, claims)) == {"sooner"}


SETTLES = "  claim settles: from anywhere: eventually legal"


@pytest.mark.parametrize(("machines", "states"), [(3, 2), (4, 3), (5, 4)])
def test_settles_in_the_end_however_long_that_may_take(machines: int, states: int) -> None:
    assert worst(machines, states) is not None
    assert broken(ring(machines, states, SETTLES)) == set()


@pytest.mark.parametrize(("machines", "states"), [(4, 2), (5, 3)])
def test_with_too_few_states_it_need_not_settle(machines: int, states: int) -> None:
    """After as many moves as there are states one has come again."""
    assert worst(machines, states) is None
    assert broken(ring(machines, states, SETTLES)) == {"settles"}
    claims = f"{SETTLES} within {2**4} ticks"
    assert broken(ring(4, 2, claims)) == {"settles"}


def test_somebody_may_always_move_and_one_privilege_stays_one() -> None:
    claims = """
  claim some: from anywhere: always any of may
  claim stays: from anywhere: after legal: always legal
  claim goes_round: may[1] returns"""
    assert broken(ring(3, 2, claims)) == set()
