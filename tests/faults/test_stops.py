"""Commands that are stopped at a random moment: a few of what `python -m tests.faults` tries."""

from pathlib import Path
from random import Random

import pytest

from tests.faults.stops import COMMANDS, WAYS, Way, Whole, stopped
from verifier.engines.crew import FORKS

SEED = 29
SOME = ("check vestibule_half", "page vestibule_half", "route lever_vault")

pytestmark = [
    pytest.mark.skipif(not FORKS, reason="this system has no forks"),
    pytest.mark.skipif(not Path("/proc/self/environ").exists(), reason="needs the processes' list"),
]


@pytest.fixture(scope="module")
def wholes(tmp_path_factory: pytest.TempPathFactory) -> list[Whole]:
    folder = tmp_path_factory.mktemp("whole")
    some = [one for one in COMMANDS if f"{one.name} {one.design}" in SOME]
    return [Whole.of(one, folder / one.name) for one in some]


@pytest.mark.parametrize(
    ("way", "times"), [(WAYS[0], 12), (WAYS[1], 3), (WAYS[2], 3)], ids=lambda one: str(one)[:16]
)
def test_whenever_a_command_is_stopped_nothing_is_left(
    wholes: list[Whole], way: Way, times: int, tmp_path: Path
) -> None:
    for name, moment, found, wrong in stopped(wholes, way, times, Random(SEED), tmp_path):
        assert not wrong, f"seed {SEED}: {name}, {way.name} after {moment:.2f} s\n{found.err}"
