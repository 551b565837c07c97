"""Turns in one process and in two: the same winner, whoever is faster."""

import os
import time
from dataclasses import dataclass, field, replace
from itertools import product

import pytest

from tests.bank.plants import too_long
from tests.engines.test_contract import task_for
from verifier.engines import race
from verifier.engines.contract import Budget, Task
from verifier.engines.crew import FORKS, Cores
from verifier.engines.portfolio import ENGINES, Side, Turn
from verifier.engines.race import Race, Tried
from verifier.verdict.evidence import Circles, Closed, Evidence, Reaches, Stopped, Why
from verifier.verdict.trace import Lasso, Trace

pytestmark = pytest.mark.skipif(not FORKS, reason="this system has no forks")

NOTHING = Stopped(Why.NOTHING, "nothing")
RUN = Reaches(Trace(()))
PROOF = Closed(None, 1)
REFUSED = Circles(Lasso(Trace(()), 0))
"""Evidence that the judge of these tests refuses."""

PLANT = too_long(6, 6, None)


@dataclass(frozen=True, slots=True)
class Told:
    """An engine that takes its time and hands in what it was told to."""

    evidence: Evidence | Stopped
    seconds: float = 0.0
    dies: bool = False
    name: str = "told"
    description: str = "hands in what it was told to"

    def run(self, task: Task, budget: Budget) -> Evidence | Stopped:
        del task
        until = time.monotonic() + self.seconds
        while time.monotonic() < until:
            if budget.cancelled():
                return Stopped(Why.TIME, "cancelled")
            time.sleep(0.002)
        if self.dies:
            os._exit(3)
        budget.use(0.25)
        return self.evidence


def proves(evidence: Evidence | Stopped, seconds: float = 0.0) -> Turn:
    return Turn(Told(evidence, seconds), 1.0, Side.PROVE)


def refutes(evidence: Evidence | Stopped, seconds: float = 0.0) -> Turn:
    return Turn(Told(evidence, seconds), 1.0, Side.REFUTE)


def either(evidence: Evidence | Stopped, seconds: float = 0.0) -> Turn:
    return Turn(Told(evidence, seconds), 1.0, Side.REFUTE, both=True)


def accept(tried: Tried) -> Side | None:
    match tried.evidence:
        case Reaches():
            return Side.REFUTE
        case Closed():
            return Side.PROVE
        case _:
            return None


def ran(
    monkeypatch: pytest.MonkeyPatch,
    turns: tuple[Turn, ...],
    cores: Cores | None,
    task: Task | None = None,
) -> Race:
    first = Turn(Told(NOTHING), 1.0, Side.PROVE, both=True)
    monkeypatch.setattr(race, "ENGINES", (first, *turns))
    found = Race(task or task_for(PLANT), 1.0, 2048, cores, accept)
    found.run()
    return found


TIMES = tuple(product((0.0, 0.06), repeat=3))


@pytest.mark.parametrize("seconds", TIMES)
@pytest.mark.parametrize("end", [RUN, PROOF])
def test_the_winner_is_the_first_in_order_whoever_is_faster(
    monkeypatch: pytest.MonkeyPatch, end: Evidence, seconds: tuple[float, ...]
) -> None:
    one, two, three = seconds
    proved = end is PROOF
    turns = (
        proves(REFUSED, one),
        refutes(REFUSED, two),
        either(end if proved else NOTHING, three),
        proves(end if proved else NOTHING, one),
        refutes(NOTHING if proved else end, two),
        either(end, three),
    )
    alone, shared = ran(monkeypatch, turns, None), ran(monkeypatch, turns, Cores(1))
    assert alone.won is not None
    assert alone.won.place == (3 if proved else 5)
    assert shared.won == alone.won
    assert shared.spent() == alone.spent()


def test_a_run_cuts_a_long_proof_short(monkeypatch: pytest.MonkeyPatch) -> None:
    begun = time.monotonic()
    found = ran(monkeypatch, (proves(NOTHING, 60.0), refutes(RUN, 0.05)), Cores(1))
    assert found.won is not None
    assert found.won.place == 2
    assert time.monotonic() - begun < 20


def test_a_proof_cuts_a_long_search_short(monkeypatch: pytest.MonkeyPatch) -> None:
    begun = time.monotonic()
    found = ran(monkeypatch, (refutes(NOTHING, 60.0), proves(PROOF, 0.05)), Cores(1))
    assert found.won is not None
    assert found.won.place == 2
    assert time.monotonic() - begun < 20


def test_refused_evidence_does_not_end_the_other_side(monkeypatch: pytest.MonkeyPatch) -> None:
    turns = (proves(PROOF, 0.2), refutes(REFUSED), refutes(NOTHING, 0.3))
    found = ran(monkeypatch, turns, Cores(1))
    assert found.won is not None
    assert found.won.place == 1


@dataclass(frozen=True, slots=True)
class Counted(Told):
    """An engine that takes down how often it was asked to run."""

    runs: list[int] = field(default_factory=list)

    def run(self, task: Task, budget: Budget) -> Evidence | Stopped:
        self.runs.append(1)
        return Told.run(self, task, budget)


def test_a_bounded_proof_lets_the_other_side_go_on(monkeypatch: pytest.MonkeyPatch) -> None:
    for horizon, often in ((None, 1), (20, 1), (19, 2)):
        counted = Counted(NOTHING, 0.3)
        prover = Turn(counted, 1.0, Side.PROVE)
        task = replace(task_for(PLANT), horizon=horizon)
        found = ran(monkeypatch, (prover, either(Closed(19, 1), 0.05)), Cores(1), task)
        assert len(counted.runs) == often
        assert found.tried[2].evidence == Closed(19, 1)


def test_what_the_other_process_has_tried_is_not_tried_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    counted = Counted(NOTHING)
    turns = (proves(NOTHING, 0.3), Turn(counted, 1.0, Side.REFUTE, both=True), refutes(RUN))
    found = ran(monkeypatch, turns, Cores(1))
    assert found.won is not None
    assert found.won.place == 3
    assert counted.runs == []  # it ran in the other process, whose list is another


def test_nothing_found_tells_of_every_turn(monkeypatch: pytest.MonkeyPatch) -> None:
    turns = (proves(NOTHING), refutes(REFUSED), refutes(NOTHING), proves(REFUSED))
    for cores in (None, Cores(1)):
        found = ran(monkeypatch, turns, cores)
        assert found.won is None
        assert sorted(found.tried) == [0, 1, 2, 3, 4]
        assert found.spent() == 5 * 0.25


def test_the_core_is_given_back(monkeypatch: pytest.MonkeyPatch) -> None:
    cores = Cores(1)
    for turns in ((proves(PROOF), refutes(NOTHING)), (proves(NOTHING), refutes(NOTHING))):
        ran(monkeypatch, turns, cores)
        assert cores.take()
        cores.give()


def test_a_second_process_that_dies_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    dies = Turn(Told(NOTHING, dies=True), 1.0, Side.REFUTE)
    found = ran(monkeypatch, (proves(NOTHING, 0.05), dies, refutes(RUN)), Cores(1))
    assert found.won is None
    assert "status 3" in getattr(found.tried[2].evidence, "words", "")


def test_all_evidence_of_the_refuting_side_can_be_sent() -> None:
    assert {turn.engine.name for turn in ENGINES if turn.side is Side.REFUTE} == {
        "walk",
        "endless runs",
        "every state",
        "bounded jumps",
        "trails",
    }
