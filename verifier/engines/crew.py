"""Work side by side: children that are forks of this process, started and stopped by it.

A fork has all that its parent has at that moment and nothing that comes later, so each piece of
work begins from the same state whatever was done before it, and one that dies takes nothing along.
"""

import ctypes
import multiprocessing
import os
import signal
import sys
from collections.abc import Callable, Generator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from multiprocessing.connection import Connection, wait
from typing import Generic, TypeVar

from verifier.logic import native

if sys.platform != "win32":
    import resource

T = TypeVar("T")

FORKS = "fork" in multiprocessing.get_all_start_methods()
"""Whether this system has forks; elsewhere all is done in this process, one after the other."""

_PR_SET_PDEATHSIG = 1
"""See prctl(2)."""

_SPARE = 1 << 29
"""Bytes that a child may hold beyond its limit before it is refused more: the limit proper is kept
by engines and solver themselves, which then give an answer."""


@dataclass(frozen=True, slots=True)
class Lost:
    """What came of work whose process ended without a result: memory ran out, or it was killed."""

    status: int | None

    @property
    def words(self) -> str:
        """Say how it ended."""
        if self.status is not None and self.status < 0:
            return f"its process was killed ({signal.Signals(-self.status).name})"
        return f"its process ended without a word (status {self.status}), for want of memory maybe"


class Cores:
    """How many more processes may work; shared with all children."""

    def __init__(self, count: int) -> None:
        """Begin with all of them free."""
        self._free = multiprocessing.get_context("fork").Value("i", count)

    def take(self) -> bool:
        """Take one if one is free; it must be given back."""
        with self._free.get_lock():
            if self._free.value <= 0:
                return False
            self._free.value -= 1
            return True

    def give(self) -> None:
        """Give one back."""
        with self._free.get_lock():
            self._free.value += 1


class Child:
    """A fork at work; `line` is this end of a pipe to it.

    It ends when told to, or when its parent is gone. It never sees an interrupt from the keyboard:
    who started it says when to stop.
    """

    def __init__(self, work: Callable[[Connection], None], *, leads: bool = False) -> None:
        """Start; with `leads`, children of this one are stopped along with it."""
        context = multiprocessing.get_context("fork")
        self.line, other = context.Pipe()
        self._leads = leads
        self._process = context.Process(
            target=_begin, args=(work, self.line, other), kwargs={"leads": leads}
        )
        self._process.start()
        other.close()
        if leads:
            _lead(self.number)

    @property
    def number(self) -> int:
        """Its number among the processes of the system."""
        return self._process.pid or 0

    def ended(self) -> Lost:
        """Return how it ended, once it has closed its end of the line."""
        self._process.join()
        return Lost(self._process.exitcode)

    def stop(self) -> None:
        """Stop it, and all that it started, at once."""
        if self._leads:
            with suppress(ProcessLookupError, PermissionError):
                os.killpg(self.number, signal.SIGKILL)
        self._process.kill()
        self._process.join()
        self.line.close()


def _lead(number: int) -> None:
    with suppress(ProcessLookupError, PermissionError):
        os.setpgid(number, number)


def _begin(
    work: Callable[[Connection], None], parents: Connection, line: Connection, *, leads: bool
) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _end_with_parent()
    parents.close()
    if leads:
        _lead(0)
    # Whoever listens is gone where the line is broken: nothing is left to be said.
    with suppress(BrokenPipeError, ConnectionResetError, EOFError):
        work(line)
    line.close()


def _end_with_parent() -> None:
    """Let the system end this process when its parent is gone, where it knows how (Linux)."""
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, signal.SIGKILL)
    if orphaned():
        os._exit(1)  # it was gone before the system was told


def orphaned() -> bool:
    """Tell whether the parent of this child is gone, even if it went before this was asked."""
    parent = multiprocessing.parent_process()
    return parent is not None and parent.pid != os.getppid()


def limit_memory(megabytes: int) -> None:
    """Let this process take so much more memory than it has now, and a bit: for children only."""
    native.limit_memory(megabytes)
    if sys.platform == "linux":
        with open("/proc/self/statm", encoding="ascii") as figures:  # noqa: PTH123 - no real file
            now = int(figures.read().split()[0]) * resource.getpagesize()
        _, most = resource.getrlimit(resource.RLIMIT_AS)
        wanted = now + (megabytes << 20) + _SPARE
        resource.setrlimit(resource.RLIMIT_AS, (wanted if most < 0 else min(wanted, most), most))


@dataclass(slots=True, eq=False)
class Crew(Generic[T]):
    """Does pieces of work on the cores that are free, and hands their results out in order."""

    cores: Cores
    memory: int
    _children: dict[int, Child] = field(default_factory=dict)
    _done: dict[int, T | Lost] = field(default_factory=dict)

    def results(
        self, works: Sequence[Callable[[], T]], order: Sequence[int]
    ) -> Generator[T | Lost, None, None]:
        """Yield what each piece of work returns; `order` says which are begun first."""
        waiting = list(order)[::-1]
        try:
            for number in range(len(works)):
                while number not in self._done:
                    while waiting and self.cores.take():
                        self._start(waiting[-1], works[waiting.pop()])
                    self._listen()
                yield self._done.pop(number)
        finally:
            for child in self._children.values():
                child.stop()
            self._children.clear()

    def _start(self, number: int, work: Callable[[], T]) -> None:
        memory = self.memory

        def send(line: Connection) -> None:
            limit_memory(memory)
            line.send(work())

        self._children[number] = Child(send, leads=True)

    def _listen(self) -> None:
        """Wait until some child has said something, and take it down."""
        heard = wait([child.line for child in self._children.values()])
        for number in [n for n, child in self._children.items() if child.line in heard]:
            child = self._children.pop(number)
            try:
                self._done[number] = child.line.recv()
            except (EOFError, ConnectionResetError):
                self._done[number] = child.ended()
            child.stop()
            self.cores.give()
