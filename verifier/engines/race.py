"""Engines take their turns: one after the other, or proving and refuting in two processes at once.

Whichever way, the answer is that of the first turn in the tuple of engines that settles the matter.
Each turn has a share of the effort of its own that does not hang on what others used up, so what it
comes to is the same in either process. And since the judge accepts no proof of what a run refutes,
a turn that can only prove need not be waited for once there is a run, nor the other way round.
"""

import mmap
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import partial
from multiprocessing.connection import Connection
from typing import Protocol

from verifier.engines.child import NONSENSE, Child, Lost, NoChildError, orphaned
from verifier.engines.contract import Budget, Task, megabytes
from verifier.engines.crew import Cores
from verifier.engines.portfolio import ENGINES, Side
from verifier.logic.native import WANT, SolverError, told
from verifier.verdict.evidence import Closed, Evidence, Stopped, Why


@dataclass(frozen=True, slots=True)
class Tried:
    """What the turn at a place came to, and the nominal seconds it took."""

    place: int
    evidence: Evidence | Stopped
    used: float

    @property
    def engine(self) -> str:
        """The name of the engine."""
        return ENGINES[self.place].engine.name


class Accept(Protocol):
    """Looks at evidence; returns on which side it settles the matter, None if it does not."""

    def __call__(self, tried: Tried) -> Side | None:
        """Judge it."""


def turn_at(
    place: int, task: Task, seconds: float, memory: int, cancelled: Callable[[], bool]
) -> Tried:
    """Give one engine its turn; for want of memory or of the solver it ends honestly."""
    turn = ENGINES[place]
    budget = Budget.of(seconds * turn.share, memory=memory)
    budget.cancelled = cancelled
    try:
        evidence = turn.engine.run(task, budget)
    except WANT as want:
        evidence = Stopped(Why.SOLVER if isinstance(want, SolverError) else Why.SIZE, told(want))
    if isinstance(evidence, Stopped) and megabytes() > memory:
        evidence = replace(evidence, words=f"{evidence.words}; more than {memory} MB were in use")
    return Tried(place, evidence, budget.used)


@dataclass(slots=True, eq=False)
class Race:
    """One race; `cores` is asked for a second process before each turn, None: never."""

    task: Task
    seconds: float
    memory: int
    cores: Cores | None
    accept: Accept
    tried: dict[int, Tried] = field(default_factory=dict)
    won: Tried | None = None
    side: Side | None = None
    _child: Child | None = None
    _there: list[int] = field(default_factory=list)
    _flag: mmap.mmap = field(default_factory=lambda: mmap.mmap(-1, 1))
    """A byte that two processes see, in memory of no file."""

    def run(self) -> Tried | None:
        """Return the turn that settles the matter, None if none does."""
        try:
            for place in range(len(ENGINES)):
                if self._child is None:
                    self._share(place)
                known = place in self._there or place in self.tried
                if not known and self._matters(place):
                    self._take(place)
            while any(map(self._matters, self._there)):
                self._hear()
        finally:
            self._alone()
        return self.won

    def spent(self) -> float:
        """Return the nominal seconds of the winning turn and those on its side before it."""
        last = len(ENGINES) if self.won is None else self.won.place
        side = None if self.won is None else ENGINES[self.won.place].side
        counted = (
            one.used
            for place, one in self.tried.items()
            if place <= last and side in (None, ENGINES[place].side)
        )
        return sum(counted)

    def _matters(self, place: int) -> bool:
        """Whether it is still of interest what a turn comes to."""
        if self.won is None or self.side is None:
            return True
        return place < self.won.place and ENGINES[place].can(self.side)

    def _take(self, place: int) -> None:
        """Give a turn in this process; what comes from the other may cut it short."""
        while self._matters(place):
            tried = turn_at(place, self.task, self.seconds, self.memory, self._cancelled)
            if not (isinstance(tried.evidence, Stopped) and self._cancelled()):
                self._settle(tried)
                return
            self._hear()

    def _cancelled(self) -> bool:
        return bool(self._flag[0])

    def _settle(self, tried: Tried) -> None:
        self.tried[tried.place] = tried
        if isinstance(tried.evidence, Stopped):
            return
        side = self.accept(tried)
        if side is not None and self._matters(tried.place):
            self.won, self.side = tried, side

    # --- the other process ---------------------------------------------------------------------

    def _share(self, place: int) -> None:
        """Let a child take the refuting turns that are left, where a core is free."""
        there = [n for n in range(place, len(ENGINES)) if ENGINES[n].side is Side.REFUTE]
        if place and there and self.cores is not None and self.cores.take():
            try:
                self._child = Child(partial(_refute, self, tuple(there)))
                self._there = there
            except NoChildError:
                self.cores.give()  # one process comes to the same, later

    def _hear(self) -> None:
        """Take down what the child says next."""
        if self._child is None:
            return
        said = self._child.said()
        if not isinstance(said, Tried) or said.place not in self._there:
            lost = said if isinstance(said, Lost) else NONSENSE
            for place in self._there:
                self.tried[place] = Tried(place, Stopped(Why.SIZE, lost.words), 0.0)
            self._alone()
            return
        self._there.remove(said.place)
        self._settle(said)
        if _may_settle(self, said):
            self._flag[0] = 0
            # If it is gone meanwhile, that is heard when it is listened to again.
            with suppress(BrokenPipeError, ConnectionResetError):
                self._child.line.send("go on")

    def _alone(self) -> None:
        if self._child is not None:
            self._child.stop()
            self._child = None
            self._there = []
            self._flag[0] = 0
            if self.cores is not None:
                self.cores.give()


def _may_settle(race: Race, tried: Tried) -> bool:
    """Whether the judge is to look at once: a bounded proof can wait, it cuts nothing short."""
    match tried.evidence:
        case Stopped():
            return False
        case Closed() as proof:
            return not proof.short_of(race.task.horizon)
        case _:
            return True


def _refute(race: Race, places: Sequence[int], line: Connection) -> None:
    """Take turns in the child; after evidence that may settle it, wait to be told to go on."""
    for place in places:
        tried = turn_at(place, race.task, race.seconds, race.memory, orphaned)
        if not _may_settle(race, tried):
            line.send(tried)
            continue
        race._flag[0] = 1  # noqa: SLF001 - the same race, in its other process
        line.send(tried)
        line.recv()
