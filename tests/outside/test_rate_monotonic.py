"""Deadlines of tasks that come at fixed rates: C. L. Liu, J. W. Layland, JACM 20(1), 1973.

"Scheduling Algorithms for Multiprogramming in a Hard-Real-Time Environment", from memory. Tasks
with periods 2 and 5 and work 1 each: with the more frequent first the other may work 2, not more;
with the less frequent first both may work 1 only. Whatever their phases, nothing is worse than both
coming at once (theorem 1), so that whether the second is in time can be reckoned for that moment.
Two tasks that need no more than 2 (sqrt 2 - 1) = 0.828 of the time are in time (theorem 3).
"""

from math import ceil, sqrt

import pytest

from tests.outside.desk import broken

# Each job must be done when the next one comes; when the first ones come is anyone's choice.
DESIGN = """
kind task(every: time, work: count) {
  in  works: signal
  free begins: signal
  keep left: timer
  keep begun: flag
  keep todo: count 0 .. 9
  let comes = left = 1 tick or not begun and begins
  left loads every when comes
  begun becomes yes when comes
  let now_due = work when comes else todo
  todo becomes now_due - 1 when works, now_due
  out ready: signal = now_due > 0
  out late: signal = comes and todo > 0
}

design machine {
  tick 1 s
  first  : task(P1 ticks, C1)
  second : task(P2 ticks, C2)
  first.works when FIRST
  second.works when SECOND
  claim first_in_time: never first.late
  claim second_in_time: never second.late
}
"""

FIRST_GOES = ("first.ready", "second.ready and not first.ready")
SECOND_GOES = ("first.ready and not second.ready", "second.ready")

Tasks = tuple[tuple[int, int], tuple[int, int]]


def machine(tasks: Tasks, goes: tuple[str, str] = FIRST_GOES) -> str:
    text = DESIGN.replace("FIRST", goes[0]).replace("SECOND", goes[1])
    for number, (period, work) in enumerate(tasks, start=1):
        text = text.replace(f"P{number}", str(period)).replace(f"C{number}", str(work))
    return text


@pytest.mark.parametrize(
    ("tasks", "goes", "late"),
    [
        (((2, 1), (5, 1)), FIRST_GOES, set()),
        (((2, 1), (5, 2)), FIRST_GOES, set()),
        (((2, 1), (5, 3)), FIRST_GOES, {"second_in_time"}),
        (((2, 1), (5, 1)), SECOND_GOES, set()),
        (((2, 1), (5, 2)), SECOND_GOES, {"first_in_time"}),
    ],
)
def test_who_is_late(tasks: Tasks, goes: tuple[str, str], late: set[str]) -> None:
    assert broken(machine(tasks, goes)) == late


def in_time(tasks: Tasks) -> bool:
    """Whether the second task is in time if both come at once and the first goes first."""
    (period, work), (limit, own) = tasks
    spent, before = own, 0
    while spent != before and spent <= limit:
        spent, before = own + ceil(spent / period) * work, spent
    return spent <= limit


@pytest.mark.parametrize(
    "tasks",
    [
        ((3, 1), (4, 2)),
        ((3, 2), (4, 1)),
        ((3, 2), (4, 2)),
        ((3, 1), (5, 3)),
        ((5, 2), (7, 3)),
        ((5, 3), (7, 2)),
        ((5, 2), (7, 4)),
        ((4, 2), (6, 2)),
    ],
)
def test_nothing_is_worse_than_both_at_once(tasks: Tasks) -> None:
    share = sum(work / period for period, work in tasks)
    assert in_time(tasks) or share > 2 * (sqrt(2) - 1)
    assert broken(machine(tasks)) == (set() if in_time(tasks) else {"second_in_time"})
