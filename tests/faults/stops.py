"""Commands that are stopped at a random moment: what they leave, print and say at the end.

A command is begun in a session of its own, as from a terminal, with a mark in its environment by
which all that descends from it is found again. The moment is drawn from when our code begins to
load up to a bit after the command would be done; what comes before that is Python's own start.
"""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random
from uuid import uuid4

from tests.faults.expected import design_file
from tests.repo.tree import ROOT

MARK = "LATCHWORK_STOPPED_BY_A_TEST"
BEGIN = """\
import os, sys
sys.path.insert(0, {root!r})
from verifier.cli.start import start
os.write({ready}, b".")
os.close({ready})
start()
"""
GONE = 20.0
"""Seconds after which nothing may be left: far more than it takes, as the machine may be busy."""

WHOLE = {".svg": "</svg>", ".html": "</html>", ".certificate": "end", ".latch": "}", ".vcd": ""}
"""What the last line of a whole file ends with."""


@dataclass(frozen=True, slots=True)
class Command:
    """A command in a folder of its own; `design` is its first argument."""

    name: str
    design: str
    rest: tuple[str, ...] = ()

    @property
    def words(self) -> list[str]:
        """Its arguments."""
        return [self.name, str(design_file(self.design)), *self.rest]


COMMANDS = (
    Command("check", "trapdoor", ("--jobs", "2", "--certificates", ".", "--format", "json")),
    Command("check", "vestibule_half", ("--svg", "run.svg", "--waveform", "run.vcd")),
    Command("page", "vestibule_half", ("-o", "page.html")),
    Command("route", "lever_vault", ("way_in", "--svg", "way.svg")),
    Command("trial", "lever_vault", ("open_to_all", "--games", "3000", "--jobs", "2")),
    Command("retune", "vestibule_mended", ("--without", "patient", "--write", "retuned.latch")),
    Command("margins", "vestibule_half"),
    Command("rhythm", "lantern_walk"),
    Command("units", "tap_chain_mended"),
    Command("stuck", "lever_vault_trap", ("way_in", "--svg", "stuck.svg")),
    Command("bypass", "lever_lock", ("opens",)),
)


@dataclass(frozen=True, slots=True)
class Way:
    """A way to stop a command: the signal, whether all its processes get it, how it then ends."""

    name: str
    number: signal.Signals
    all_of_it: bool
    status: int

    def send(self, leader: int) -> None:
        """Send it to a command, which has not been waited for."""
        (os.killpg if self.all_of_it else os.kill)(leader, self.number)


WAYS = (
    Way("Ctrl-C", signal.SIGINT, all_of_it=True, status=130),
    Way("SIGTERM", signal.SIGTERM, all_of_it=False, status=-signal.SIGTERM),
    Way("SIGKILL", signal.SIGKILL, all_of_it=False, status=-signal.SIGKILL),
)


@dataclass(frozen=True, slots=True)
class Ended:
    """How a command ended: what it said, after how many seconds since it began or was stopped."""

    status: int
    out: str
    err: str
    seconds: float
    stopped: bool
    left: tuple[int, ...]
    gone: float


def marked(mark: str) -> tuple[int, ...]:
    """Return the processes that carry a mark; one that has ended carries none."""
    found = []
    for path in Path("/proc").glob("[0-9]*/environ"):
        try:
            carries = f"{MARK}={mark}".encode() in path.read_bytes()
        except OSError:
            continue
        if carries:
            found.append(int(path.parent.name))
    return tuple(found)


def ran(
    command: Command,
    folder: Path,
    moment: float | None = None,
    stop: Callable[[int], object] = id,
) -> Ended:
    """Run a command in a folder; so many seconds after it begins to load, stop it."""
    folder.mkdir()
    temporary = folder / "tmp"
    temporary.mkdir()
    mark, (reader, writer) = uuid4().hex, os.pipe()
    code = BEGIN.format(root=str(ROOT), ready=writer)
    with subprocess.Popen(
        [sys.executable, "-c", code, *command.words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        cwd=folder,
        env={**os.environ, MARK: mark, "TMPDIR": str(temporary)},
        pass_fds=[writer],
        start_new_session=True,
    ) as begun:
        os.close(writer)
        os.read(reader, 1)
        os.close(reader)
        start, stopped = time.monotonic(), False
        if moment is not None:
            try:
                begun.wait(moment)
            except subprocess.TimeoutExpired:
                stopped, start = True, time.monotonic()
                stop(begun.pid)
        out, err = begun.communicate(timeout=300)
        ended = time.monotonic()
    left, gone = _waited(mark)
    return Ended(begun.returncode, out, err, ended - start, stopped, left, gone)


def _waited(mark: str) -> tuple[tuple[int, ...], float]:
    """Wait until all processes with a mark are gone; return those that are not, and the seconds."""
    begun = time.monotonic()
    while (left := marked(mark)) and time.monotonic() - begun < GONE:
        time.sleep(0.02)
    return left, time.monotonic() - begun


@dataclass(frozen=True, slots=True)
class Whole:
    """A command that nobody stopped, with the files it left."""

    command: Command
    ended: Ended
    files: frozenset[str]

    @classmethod
    def of(cls, command: Command, folder: Path) -> "Whole":
        """Run it to its end."""
        return cls(command, ran(command, folder), frozenset(_files(folder)))

    def wrong(self, way: Way, found: Ended, folder: Path) -> Iterator[str]:
        """Say what is wrong with how it ended when it was stopped."""
        usual = found.status == self.ended.status
        if found.status != way.status and not usual:
            yield f"status {found.status}"
        if usual and found.stopped and found.seconds > max(2.0, self.ended.seconds / 2):
            yield f"it went on for {found.seconds:.1f} s, as if nobody had stopped it"
        yield from (f"it said {word}" for word in ("Traceback", "ignored in") if word in found.err)
        if found.left:
            yield f"processes are left: {found.left}"
        yield from self._files_wrong(way, folder)
        if "json" in self.command.rest and found.out:
            yield from _others(json.loads(self.ended.out), json.loads(found.out))
        if way.number is signal.SIGINT and self.command.name == "check" and found.out:
            listed = "claims that are not listed were not answered" in found.err
            if found.status == way.status and not listed:
                yield "it does not say that there is more"

    def _files_wrong(self, way: Way, folder: Path) -> Iterator[str]:
        for name in _files(folder):
            path = folder / name
            if name in self.files:
                text = path.read_text(encoding="utf-8").rstrip()
                if not text.endswith(WHOLE[path.suffix]):
                    yield f"{name} is not whole"
            elif way.number is not signal.SIGKILL:
                yield f"{name} is left"


def _files(folder: Path) -> list[str]:
    """Return the files in a folder and below, by their paths in it."""
    return [str(one.relative_to(folder)) for one in folder.rglob("*") if one.is_file()]


def _others(known: Mapping[str, object], told: Mapping[str, object]) -> Iterator[str]:
    """Say which claims of a record have another verdict than they should."""
    should = dict(_verdicts(known))
    for name, verdict in _verdicts(told):
        if verdict != should[name]:
            yield f"{name} {verdict}, where it {should[name]}"


def _verdicts(record: Mapping[str, object]) -> Iterator[tuple[str, str]]:
    designs = record["designs"]
    assert isinstance(designs, list)
    for design in designs:
        for claim in design["claims"]:
            yield claim["name"], claim["verdict"]


def stopped(
    wholes: Sequence[Whole], way: Way, times: int, luck: Random, folder: Path
) -> Iterator[tuple[str, float, Ended, list[str]]]:
    """Stop commands at random moments; yield which, when, how it ended, and what is wrong."""
    for number in range(times):
        whole = wholes[number % len(wholes)]
        moment = luck.uniform(0.0, 1.1 * whole.ended.seconds)
        place = folder / f"{way.name}-{number}"
        found = ran(whole.command, place, moment, way.send)
        yield whole.command.name, moment, found, list(whole.wrong(way, found, place))
