"""Anomalies of schedules: R. L. Graham, "Bounds on Multiprocessing Timing Anomalies", 1969.

SIAM J. Appl. Math. 17(2), from memory. Nine tasks of 3, 2, 2, 2, 4, 4, 4, 4, 9; the ninth comes
after the first, the fifth to the eighth after the fourth. They are started from a list whenever a
machine is free. Three machines need 12. Whatever ought to help makes it worse: four machines need
15, each task shorter by one 13, without the orders after the fourth 16 (the paper drops two of
them).
"""

import pytest

from tests.outside.desk import broken

TIMES = (3, 2, 2, 2, 4, 4, 4, 4, 9)
ORDERS = ((1, 9), (4, 5), (4, 6), (4, 7), (4, 8))
SHORTER = tuple(time - 1 for time in TIMES)


def shop(machines: int, times: tuple[int, ...], orders: tuple[tuple[int, int], ...]) -> str:
    """Return a design that starts tasks from the list whenever a machine is free, in that tick.

    A task of n started at tick t is at work up to t + n - 1, and at t + n others may follow.
    """
    lines = ["design shop {", "  tick 1 s", "  let upto[1] = 0"]
    for task, time in enumerate(times, start=1):
        waits = [f"done[{one}]" for one, other in orders if other == task]
        goes = " and ".join([f"not begun[{task}]", *waits, f"at_work + upto[{task}] < {machines}"])
        lines += [
            f"  keep left[{task}]: timer",
            f"  keep begun[{task}]: flag",
            f"  let works[{task}] = left[{task}] > 0 s",
            f"  let done[{task}] = begun[{task}] and not works[{task}]",
            f"  let goes[{task}] = {goes}",
            f"  let upto[{task + 1}] = upto[{task}] + (1 when goes[{task}] else 0)",
            f"  begun[{task}] becomes yes when goes[{task}]",
            f"  left[{task}] loads {time - 1} s when goes[{task}]",
        ]
    count = " + ".join(f"(1 when works[{task}] else 0)" for task in range(1, len(times) + 1))
    claims = """
  let all_done = all of done
  claim in_time: eventually all_done within LENGTH s
  claim in_less: eventually all_done within LENGTH s - 1 s
  claim no_sooner: all_done no sooner than LENGTH s
  claim still_later: all_done no sooner than LENGTH s + 1 s
}
"""
    return "\n".join([*lines, f"  let at_work = {count}"]) + claims


def list_schedule(
    machines: int, times: tuple[int, ...], orders: tuple[tuple[int, int], ...]
) -> int:
    """Return the length of the schedule, by plain arithmetic."""
    ends: dict[int, int] = {}
    now = 0
    while len(ends) < len(times):
        for task, time in enumerate(times, start=1):
            ready = all(ends.get(one, now + 1) <= now for one, other in orders if other == task)
            idle = sum(end > now for end in ends.values()) < machines
            if task not in ends and ready and idle:
                ends[task] = now + time
        now += 1
    return max(ends.values())


@pytest.mark.parametrize(
    ("machines", "times", "orders", "length"),
    [
        (3, TIMES, ORDERS, 12),
        (4, TIMES, ORDERS, 15),
        (3, SHORTER, ORDERS, 13),
        (3, TIMES, ((1, 9), (4, 7), (4, 8)), 16),
    ],
    ids=["as it is", "a machine more", "shorter tasks", "fewer orders"],
)
def test_what_ought_to_help_makes_it_longer(
    machines: int, times: tuple[int, ...], orders: tuple[tuple[int, int], ...], length: int
) -> None:
    assert list_schedule(machines, times, orders) == length
    text = shop(machines, times, orders).replace("LENGTH", str(length))
    assert broken(text) == {"in_less", "still_later"}
