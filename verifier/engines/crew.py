"""Work side by side: children that are forks of this process, started and stopped by it.

A fork has all that its parent has at that moment and nothing that comes later, so each piece of
work begins from the same state whatever was done before it, and one that dies takes nothing along.
"""

import multiprocessing
import os
import sys
from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass, field
from multiprocessing.connection import Connection, wait
from typing import Generic, TypeVar

from verifier.engines.child import HUNG, LOOK_EVERY, NONSENSE, Child, Lost, NoChildError
from verifier.logic import native

if sys.platform != "win32":
    import resource

T = TypeVar("T")

FORKS = "fork" in multiprocessing.get_all_start_methods()
"""Whether this system has forks; elsewhere all is done in this process, one after the other."""

_SPARE = 1 << 29
"""Bytes that a child may hold beyond its limit before it is refused more: the limit proper is kept
by engines and solver themselves, which then give an answer."""


class Cores:
    """How many more processes may work; shared with all children.

    They are so many bytes in a pipe. No process can take the whole count with it when it dies, as
    it could by a lock that it holds.
    """

    def __init__(self, count: int) -> None:
        """Begin with all of them free."""
        self._taken_from, self._given_to = multiprocessing.Pipe(duplex=False)
        os.set_blocking(self._taken_from.fileno(), False)
        os.write(self._given_to.fileno(), bytes(count))

    def take(self) -> bool:
        """Take one if one is free; it must be given back."""
        try:
            return bool(os.read(self._taken_from.fileno(), 1))
        except BlockingIOError:
            return False

    def give(self) -> None:
        """Give one back."""
        os.write(self._given_to.fileno(), bytes(1))


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
    """Does pieces of work on the cores that are free, and hands their results out in order.

    Each result is to be of a `kind`; `memory` is the most megabytes of each process.
    """

    cores: Cores
    memory: int
    kind: type[T]
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
                        if not self._start(waiting[-1], works[waiting[-1]]):
                            break
                        waiting.pop()
                    self._listen()
                yield self._done.pop(number)
        finally:
            for child in self._children.values():
                child.stop()
            self._children.clear()

    def _start(self, number: int, work: Callable[[], T]) -> bool:
        """Begin a piece of work; return whether no more need be done about it than to listen."""
        memory = self.memory

        def send(line: Connection) -> None:
            limit_memory(memory)
            line.send(work())

        try:
            self._children[number] = Child(send, leads=True)
        except NoChildError as none:
            self.cores.give()
            if self._children:
                return False  # there is room for it once another one has ended
            self._done[number] = Lost(None, f"no process could be started for it: {none}")
        return True

    def _listen(self) -> None:
        """Wait until some child has said something, and take it down; a while at the most."""
        heard = wait([child.line for child in self._children.values()], LOOK_EVERY)
        for number, child in list(self._children.items()):
            if child.line in heard:
                self._take(number, child.heard())
            elif not heard and child.hangs():
                self._take(number, HUNG)

    def _take(self, number: int, said: object) -> None:
        """Take down what a child said, which is its last word."""
        if not isinstance(said, (self.kind, Lost)):
            said = NONSENSE
        self._done[number] = said
        self._children.pop(number).stop()
        self.cores.give()
