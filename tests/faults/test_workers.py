"""Processes that end badly cost an answer at most; nothing of them is left."""

import tempfile
from functools import cache
from pathlib import Path

import pytest

from tests.faults.expected import system_of
from tests.faults.workers import ENDS, Case, ending, little_memory, no_process
from verifier.engines.crew import FORKS

pytestmark = pytest.mark.skipif(not FORKS, reason="this system has no forks")


@pytest.fixture(autouse=True)
def _own_temporary_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))


TRIES = 10
"""On a busy machine all races may be won before the second process has its second turn."""


@cache
def case(jobs: int) -> Case:
    """Return a design and its answers; to be asked for before anything fails."""
    return Case.of(system_of("vestibule_half"), jobs)


@pytest.mark.parametrize("how", ENDS)
def test_a_process_that_ends_badly_costs_its_claim_the_answer(how: str) -> None:
    asked = case(2)
    with ending(how, 2, races=False) as came:
        wrong, lost = asked.wrong()
    assert came[0]
    assert not wrong
    assert lost


@pytest.mark.parametrize("how", ["killed", "rubbish", "another object", "hangs"])
def test_the_second_process_of_a_race_may_end_badly(how: str) -> None:
    asked = case(8)  # cores for two processes of each claim, whichever ends first
    for _ in range(TRIES):
        with ending(how, 2, races=True) as came:
            wrong, _ = asked.wrong()
        assert not wrong
        if came[0]:
            return
    pytest.fail(f"no second process came to its second turn in {TRIES} tries")


@pytest.mark.parametrize(
    ("first", "last", "without"), [(1, 1, 1), (2, 2, 0), (2, 99, 2), (1, 99, 3)]
)
def test_where_no_process_can_be_started_that_is_told(first: int, last: int, without: int) -> None:
    """The second of three claims waits for the place of the first, as long as there is one."""
    asked = case(2)
    with no_process(first, last) as count:
        wrong, lost = asked.wrong()
    assert count[0] >= first
    assert not wrong
    assert lost == without


@pytest.mark.parametrize(("solver", "spare"), [(15, 512), (19, 512), (512, 1), (512, 8), (512, 24)])
def test_without_memory_no_answer_is_made_up(solver: int, spare: int) -> None:
    asked = case(1)
    with little_memory(solver, spare):
        wrong, _ = asked.wrong()
    assert not wrong
