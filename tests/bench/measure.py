"""Measures one claim at one tick: several times over, each time from nothing."""

import multiprocessing
import resource
import time
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


def measured(garden: Garden, claim: str, tick: int, wish: Wish) -> Measured:
    """Measure in a process of its own, so that memory is told apart."""
    context = multiprocessing.get_context("fork")
    here, there = context.Pipe()
    process = context.Process(target=_work, args=(garden, claim, tick, wish, there))
    process.start()
    there.close()
    try:
        found: Measured = here.recv()
    finally:
        process.join()
    return found


def _work(garden: Garden, claim: str, tick: int, wish: Wish, line: Connection) -> None:
    system = garden.system(tick)
    effort = Effort(seconds=wish.effort)
    settings = pipeline.CheckSettings(claims=(claim,), effort=effort, jobs=wish.jobs)
    clock = _spent if wish.busy else time.perf_counter
    outcomes: list[Outcome] = []
    times: list[float] = []
    for _ in range(wish.repeats):
        begun = clock()
        outcomes += [answer.outcome for answer in pipeline.answers(system, settings)]
        times.append(clock() - begun)
    known = garden.verdicts[claim]
    line.send(
        Measured(
            tick=tick,
            said=said(outcomes[0]),
            right=all(agrees(outcome, known) for outcome in outcomes),
            engine=outcomes[0].engine,
            seconds=median(times),
            quickest=min(times),
            memory=max(megabytes(), _most_of_children()),
        )
    )


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
