"""Dining philosophers: E. W. Dijkstra, "Hierarchical Ordering of Sequential Processes", 1971.

If each takes the left fork first and then waits for the right one, all can be stuck; if one of them
begins with the right one, or forks are taken in the order of their numbers, nobody can (from
memory). With n philosophers n forks taken are enough to be stuck.
"""

import pytest

from tests.outside.desk import broken, quickest, verdicts

# At each tick one philosopher, who is anyone's choice, takes a fork or lays both down.
DESIGN = """
kind philosopher {
  in  acts: signal
  in  first_free: signal
  in  second_free: signal
  keep forks: count 0 .. 2
  forks becomes
    1 when acts and forks = 0 and first_free,
    2 when acts and forks = 1 and second_free,
    0 when acts and forks = 2
  out has_first: signal = forks >= 1
  out has_second: signal = forks = 2
}

design table {
  free who: count 0 .. SEATS
  seat[1..SEATS] : philosopher
  for i in 1..SEATS {
    seat[i].acts when who = i
    let has_one[i] = seat[i].forks >= 1
  }
WIRES
  let eats = seat[1].forks = 2
  claim never_stuck: always possible eats
  claim eats_at_last: possible eats within 2 ticks
}
"""


def table(seats: int, *, right_handed: int) -> str:
    """Return a table at which the last so many begin with the fork to their right, fork i + 1."""
    holders: dict[int, list[str]] = {fork: [] for fork in range(1, seats + 1)}
    wants: list[tuple[int, int]] = []
    for seat in range(1, seats + 1):
        left, right = seat, seat % seats + 1
        first, second = (right, left) if seat > seats - right_handed else (left, right)
        wants.append((first, second))
        holders[first].append(f"seat[{seat}].has_first")
        holders[second].append(f"seat[{seat}].has_second")
    wires = [f"  let free_{fork} = none of ({', '.join(by)})" for fork, by in holders.items()]
    for seat, (first, second) in enumerate(wants, start=1):
        wires.append(f"  seat[{seat}].first_free when free_{first}")
        wires.append(f"  seat[{seat}].second_free when free_{second}")
    return DESIGN.replace("SEATS", str(seats)).replace("WIRES", "\n".join(wires))


@pytest.mark.parametrize("seats", [2, 3, 5])
def test_all_left_handed_can_be_stuck(seats: int) -> None:
    text = table(seats, right_handed=0)
    assert broken(text) == {"never_stuck"}
    found = quickest(text, "all of has_one and none of (" + two_forks(seats) + ")")
    assert found.route is not None
    assert found.route.tick == seats


def two_forks(seats: int) -> str:
    return ", ".join(f"seat[{seat}].has_second" for seat in range(1, seats + 1))


@pytest.mark.parametrize(("seats", "right_handed"), [(2, 1), (3, 1), (5, 1), (5, 2)])
def test_one_right_handed_is_enough(seats: int, right_handed: int) -> None:
    assert broken(table(seats, right_handed=right_handed)) == set()


def test_all_right_handed_can_be_stuck_too() -> None:
    assert verdicts(table(3, right_handed=3))["never_stuck"].fails
