"""Measures one claim at one tick: several times over, each time from nothing."""

import multiprocessing
import resource
import time
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from multiprocessing.connection import Connection
from statistics import median

from tests.bank.garden import Garden
from verifier import pipeline
from verifier.engines.contract import megabytes
from verifier.engines.search import Effort
from verifier.verdict.answer import Outcome, Reach, Verdict


@dataclass(frozen=True, slots=True)
class Wish:
    """How to measure: how often, on how many cores (0: all), with how many nominal seconds.

    `busy`: count what processors spent on it, not what a clock on the wall shows.
    """

    repeats: int = 3
    jobs: int = 0
    effort: float = 2.0
    busy: bool = False


@dataclass(frozen=True, slots=True)
class Round:
    """A claim decided once: what came of it, the seconds it took and the megabytes held so far."""

    outcome: Outcome
    seconds: float
    memory: float


@dataclass(frozen=True, slots=True)
class Measured:
    """What came of a claim at a tick: `said` is the verdict in words, `right`: it is the known one.

    `seconds` is the median of the times, `quickest` the least of them: the work is the same each
    time, and what comes on top is the machine's (so the documentation of Python's timeit).
    `memory` is the most megabytes that one of the processes at work held.
    """

    tick: int
    said: str
    right: bool
    engine: str
    seconds: float
    quickest: float
    memory: float


def measured(garden: Garden, claim: str, ticks: Sequence[int], wish: Wish) -> list[Measured]:
    """Measure at each tick, in a process of its own each, so that memory is told apart.

    The ticks take turns round by round: a machine that is slower for a while is so for all.
    """
    context = multiprocessing.get_context("fork")
    lines: list[Connection] = []
    works = []
    for tick in ticks:
        here, there = context.Pipe()
        work = context.Process(target=_work, args=(garden, claim, tick, wish, there))
        work.start()
        there.close()
        lines.append(here)
        works.append(work)
    rounds: list[list[Round]] = [[] for _ in ticks]
    try:
        for _ in range(wish.repeats):
            for line, found in zip(lines, rounds, strict=True):
                line.send(True)
                found.append(line.recv())
    finally:
        for line, work in zip(lines, works, strict=True):
            with suppress(BrokenPipeError):
                line.send(False)
            work.join()
    known = garden.verdicts[claim]
    return [_told(tick, found, known) for tick, found in zip(ticks, rounds, strict=True)]


def _told(tick: int, rounds: Sequence[Round], known: Verdict) -> Measured:
    times = [one.seconds for one in rounds]
    return Measured(
        tick=tick,
        said=said(rounds[0].outcome),
        right=all(agrees(one.outcome, known) for one in rounds),
        engine=rounds[0].outcome.engine,
        seconds=median(times),
        quickest=min(times),
        memory=max(one.memory for one in rounds),
    )


def _work(garden: Garden, claim: str, tick: int, wish: Wish, line: Connection) -> None:
    """Decide the claim once whenever asked on the line, until told that it is enough."""
    system = garden.system(tick)
    effort = Effort(seconds=wish.effort)
    settings = pipeline.CheckSettings(claims=(claim,), effort=effort, jobs=wish.jobs)
    clock = _spent if wish.busy else time.perf_counter
    while line.recv():
        begun = clock()
        (answer,) = pipeline.answers(system, settings)
        seconds = clock() - begun
        memory = max(megabytes(), _most_of_children())
        line.send(Round(answer.outcome, seconds, memory))


def agrees(outcome: Outcome, known: Verdict) -> bool:
    """Whether an outcome is the one that is known, for ever."""
    return outcome.verdict is known and outcome.reach is Reach.FOREVER and not outcome.fault


def said(outcome: Outcome) -> str:
    """Say an outcome in a word or two."""
    if outcome.fault:
        return "fault of ours"
    if outcome.verdict is Verdict.HOLDS and outcome.reach is not Reach.FOREVER:
        return "holds up to a time"
    return outcome.verdict.value


def _spent() -> float:
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(one.ru_utime + one.ru_stime for one in used)


def _most_of_children() -> float:
    return resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
