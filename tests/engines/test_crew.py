"""Work in forks: results in order, deaths told, nothing left behind."""

import os
import signal
import sys
import time
from collections.abc import Callable, Iterator
from functools import partial
from multiprocessing.connection import Connection

import pytest

from verifier.engines import child, crew
from verifier.engines.child import Child, Lost, orphaned
from verifier.engines.crew import Cores, Crew
from verifier.logic.native import Result, Room

pytestmark = pytest.mark.skipif(not crew.FORKS, reason="this system has no forks")


def done(works: list[Callable[[], int]], jobs: int, memory: int = 512) -> list[int | Lost]:
    numbers = list(range(len(works)))[::-1]
    return list(Crew(Cores(jobs), memory, int).results(works, numbers))


def slow(seconds: float, value: int) -> int:
    time.sleep(seconds)
    return value


def squares() -> Iterator[Callable[[], int]]:
    for number in range(7):
        yield partial(slow, 0.01 * (7 - number), number * number)


@pytest.mark.parametrize("jobs", [1, 2, 9])
def test_results_come_in_order_however_many_work(jobs: int) -> None:
    assert done(list(squares()), jobs) == [0, 1, 4, 9, 16, 25, 36]


def test_no_more_work_at_once_than_there_are_cores() -> None:
    cores = Cores(2)

    def free() -> int:
        taken = cores.take()
        if taken:
            cores.give()
        return taken

    found = list(Crew(cores, 512, int).results([free] * 4, range(4)))
    assert 0 in found
    assert [cores.take() for _ in range(3)] == [True, True, False]


def end(status: int) -> int:
    os._exit(status)


def kill() -> int:
    os.kill(os.getpid(), signal.SIGKILL)
    return 0


def test_a_child_that_dies_is_told_and_takes_nothing_along() -> None:
    first, second, third = done([partial(end, 7), partial(slow, 0, 5), kill], 2)
    assert first == Lost(7)
    assert second == 5
    assert isinstance(third, Lost)
    assert "killed (SIGKILL)" in third.words


def hoard() -> int:
    held = []
    while True:
        held.append(bytearray(1 << 24))


def test_a_child_cannot_take_more_memory_than_it_may() -> None:
    before = time.monotonic()

    def full() -> int:
        try:
            return hoard()
        except MemoryError:
            return -1

    assert done([full], 1, memory=64) == [-1]
    assert time.monotonic() - before < 30


def gone(number: int) -> bool:
    try:
        os.kill(number, 0)
    except ProcessLookupError:
        return True
    return False


def test_children_and_theirs_are_stopped_when_nobody_listens_any_more() -> None:
    reader, writer = os.pipe()

    def nested() -> int:
        inner = Child(lambda _line: time.sleep(600))
        os.write(writer, f"{os.getpid()} {inner.number}\n".encode())
        time.sleep(600)
        return 0

    results = Crew(Cores(2), 512, int).results([partial(slow, 0, 1), nested], range(2))
    assert next(results) == 1
    numbers = [int(word) for word in os.read(reader, 100).split()]
    assert len(numbers) == 2
    results.close()
    wait_for(lambda: all(map(gone, numbers)))


def wait_for(condition: Callable[[], bool]) -> None:
    until = time.monotonic() + 20
    while not condition():
        assert time.monotonic() < until
        time.sleep(0.02)


def test_a_child_notices_that_its_parent_is_gone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(child, "_end_with_parent", lambda _parent: None)
    reader, writer = os.pipe()

    def watch() -> None:
        while not orphaned():
            time.sleep(0.01)
        os.write(writer, b"gone")

    def parent() -> int:
        Child(lambda _line: watch())
        os._exit(0)

    assert done([parent], 1) == [Lost(0)]
    assert os.read(reader, 10) == b"gone"


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux ends a child with its parent")
def test_a_child_that_does_not_look_ends_with_its_parent_all_the_same() -> None:
    reader, writer = os.pipe()

    def parent() -> int:
        inner = Child(lambda _line: time.sleep(600))
        os.write(writer, f"{inner.number}\n".encode())
        time.sleep(0.2)
        os._exit(0)

    assert done([parent], 1) == [Lost(0)]
    number = int(os.read(reader, 100))
    wait_for(lambda: gone(number))


def test_a_child_whose_parent_is_gone_before_it_begins_does_no_work(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    end_with_parent = child._end_with_parent  # noqa: SLF001 - the same, but late

    def late(number: int) -> None:
        time.sleep(0.3)
        end_with_parent(number)

    monkeypatch.setattr(child, "_end_with_parent", late)
    reader, writer = os.pipe()

    def work(_line: Connection) -> None:
        os.write(writer, b"ran")

    def parent() -> int:
        Child(work)
        os._exit(0)

    assert done([parent], 1) == [Lost(0)]
    os.close(writer)
    assert os.read(reader, 10) == b""


def pigeons(seconds: float) -> int:
    """Ask the solver something hard with a limit of time, which it keeps by a thread of its own."""
    with Room() as room:
        holes = [[room.flag() for _ in range(8)] for _ in range(9)]
        for bird in holes:
            room.claim(room.or_(bird))
        for hole in range(8):
            for one in range(9):
                for other in range(one):
                    both = (holes[one][hole], holes[other][hole])
                    room.claim(room.not_(room.and_(both)))
        return room.check(seconds=seconds).value


def test_the_solver_keeps_its_limits_in_forks_of_a_process_that_has_used_it() -> None:
    def twice() -> int:
        pigeons(0.05)
        inner = Child(lambda line: line.send(pigeons(0.05)))
        found = int(inner.line.recv())
        inner.stop()
        return found

    pigeons(0.05)
    known = {Result.UNKNOWN.value, Result.UNSAT.value}
    assert set(done([twice, twice], 2)) <= known
