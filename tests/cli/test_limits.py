"""Time, memory and patience of a run are kept: shown on a claim that is true and hard to prove."""

import json
import os
import resource
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.bank.stones import stones
from tests.cli.call import run, write

ROOT = Path(__file__).parents[2]


def claims(text: str) -> list[dict[str, object]]:
    return [claim for design in json.loads(text)["designs"] for claim in design["claims"]]


@pytest.mark.parametrize("effort", [0.05, 0.5])
def test_effort_bounds_the_work(effort: float, tmp_path: Path) -> None:
    path = write(tmp_path, stones(25))
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    found = run("check", path, "--format", "json", "--effort", str(effort))
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    assert found.returncode == 3, found.stderr
    (claim,) = claims(found.stdout)
    assert claim["verdict"] == "unknown"
    # Start-up and judging come on top; shares add up to less than twice the effort on each side.
    assert after.ru_utime - before.ru_utime < 8 + 8 * effort


def test_memory_bounds_each_process(tmp_path: Path) -> None:
    path = write(tmp_path, stones(25))
    before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    found = run("check", path, "--effort", "6", "--memory", "256", "--jobs", "2")
    assert found.returncode == 3, found.stderr
    assert "more than 128 MB were in use" in " ".join(found.stdout.split())
    most = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    assert most <= max(before, 200 * 1024)


def at_work(leader: int) -> list[int]:
    """Return the processes that descend from one."""
    children: dict[int, list[int]] = {}
    for entry in Path("/proc").glob("[0-9]*/stat"):
        try:
            words = entry.read_text(encoding="utf-8").rpartition(")")[2].split()
        except OSError:
            continue
        children.setdefault(int(words[1]), []).append(int(entry.parent.name))
    found, queue = [], [leader]
    while queue:
        more = children.get(queue.pop(), [])
        found += more
        queue += more
    return found


def alive(number: int) -> bool:
    """Whether a process is there and has not ended: what is left of one that did is no process."""
    try:
        status = Path(f"/proc/{number}/stat").read_text(encoding="utf-8")
    except OSError:
        return False
    return status.rpartition(")")[2].split()[0] != "Z"


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="needs the list of processes")
@pytest.mark.parametrize(("jobs", "answered"), [(1, 0), (1, 1), (2, 0), (4, 1)])
def test_an_interrupt_stops_at_once_and_prints_what_is_known(
    jobs: int, answered: int, tmp_path: Path
) -> None:
    text = stones(25).replace("  claim", "  claim soon: possible dark[1]\n  claim", 1)
    command = [sys.executable, "-c", "from verifier.cli.main import main; main()", "check"]
    begun = subprocess.Popen(
        [*command, write(tmp_path, text), "--effort", "60", "--jobs", str(jobs)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    # The easy claim is begun first and is the first to be done.
    below: list[int] = []
    first: set[int] = set()
    until = time.monotonic() + 60
    while time.monotonic() < until and (not below or (answered and first & set(below))):
        time.sleep(0.02)
        below = at_work(begun.pid)
        first = first or set(below[:1])
    begun.send_signal(signal.SIGINT)
    sent = time.monotonic()
    out, err = begun.communicate(timeout=60)
    assert time.monotonic() - sent < 10
    assert begun.returncode == 130, err
    assert "Traceback" not in err
    assert [number for number in below if alive(number)] == []
    if answered:
        assert "soon  possible after 0.1 s" in out
        assert "claims that are not listed were not answered" in err


def told(text: str) -> list[tuple[object, ...]]:
    return [(one["name"], one["verdict"], one["reach"]) for one in claims(text)]


def test_answers_do_not_hang_on_how_many_processes_work() -> None:
    design = str(ROOT / "designs" / "vestibule.latch")
    records = [
        told(run("check", design, "--format", "json", "--jobs", jobs).stdout)
        for jobs in ("1", "2", "8")
    ]
    assert records[0] == records[1] == records[2]
