"""Processes that die, hang, fail or talk nonsense; processes that cannot be started; no memory."""

import errno
import faulthandler
import mmap
import os
import resource
import signal
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from functools import partial
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any, NoReturn
from unittest.mock import patch

from tests.faults.expected import EFFORT, misfits
from verifier.engines import child, crew, race
from verifier.logic import native
from verifier.pipeline import CheckSettings, answers
from verifier.system.model import System
from verifier.verdict.answer import Outcome

RUBBISH = b"\x00\x00\x00\x10butterflies here, and no more"
"""The head of a message of 16 bytes, then bytes that are none of ours."""

BUSY = 20
"""Seconds that a process with little memory may work: many times what it needs."""

End = Callable[[Connection], object]


def _kills(number: int, _line: Connection) -> None:
    faulthandler.disable()
    os.kill(os.getpid(), number)
    time.sleep(600)


def _leaves(status: int, _line: Connection) -> None:
    os._exit(status)


def _babbles(line: Connection) -> None:
    os.write(line.fileno(), RUBBISH)
    time.sleep(600)


def _breaks_off(line: Connection) -> None:
    os.write(line.fileno(), b"\x00\x00\xff\xff")
    os._exit(0)


def _says(what: object, line: Connection) -> None:
    line.send(what)
    time.sleep(600)


def _closes(line: Connection) -> None:
    line.close()
    time.sleep(600)


def _hangs(_line: Connection) -> None:
    time.sleep(600)


def _fails(_line: Connection) -> NoReturn:
    raise ValueError("a slip of ours, as a test wishes")


ENDS: Mapping[str, End] = {
    "killed": partial(_kills, signal.SIGKILL),
    "crashed": partial(_kills, signal.SIGSEGV),
    "aborted": partial(_kills, signal.SIGABRT),
    "stopped": partial(_kills, signal.SIGSTOP),
    "left with 0": partial(_leaves, 0),
    "left with 7": partial(_leaves, 7),
    "rubbish": _babbles,
    "half a message": _breaks_off,
    "another object": partial(_says, {"verdict": "holds"}),
    "a closed pipe": _closes,
    "hangs": _hangs,
    "an error of ours": _fails,
}
"""How a process may end, or not, in the midst of its work."""


@dataclass(frozen=True, slots=True)
class Case:
    """A design on so many cores, and the answers to it when nothing fails."""

    system: System
    jobs: int
    known: tuple[Outcome, ...]

    @classmethod
    def of(cls, system: System, jobs: int) -> "Case":
        """Ask without any fault."""
        return cls(system, jobs, tuple(_asked(system, jobs)))

    def wrong(self) -> tuple[list[str], int]:
        """Ask again; return what is wrong with the answers, and how many are unknown only now."""
        begun = time.monotonic()
        found = list(_asked(self.system, self.jobs))
        pairs = list(zip(self.known, found, self.system.questions, strict=True))
        wrong = [
            f"{question.name}: {one}"
            for known, new, question in pairs
            for one in misfits(known, new)
        ]
        wrong += _left_behind()
        if time.monotonic() - begun > 300:
            wrong.append("it took minutes to find out")
        return wrong, sum(new.verdict is not known.verdict for known, new, _ in pairs)


def _asked(system: System, jobs: int) -> Iterator[Outcome]:
    effort = replace(EFFORT, memory=1024)
    for answer in answers(system, CheckSettings(effort=effort, jobs=jobs)):
        yield answer.outcome


def _left_behind() -> list[str]:
    """Return what is still there of processes and temporary files, or has not been waited for."""
    try:
        os.waitpid(-1, os.WNOHANG)
    except ChildProcessError:
        found = []
    else:
        found = ["a process is left"]
    folder = tempfile.tempdir
    return found + ([] if folder is None else [str(one) for one in Path(folder).iterdir()])


@contextmanager
def _patience() -> Iterator[None]:
    """Let a process that hangs be found out in a second and not in two minutes."""
    with ExitStack() as stack:
        for module in (child, crew):
            stack.enter_context(patch.object(module, "LOOK_EVERY", 0.1))
        stack.enter_context(patch.object(child, "STILL", 20))
        stack.enter_context(patch.object(child, "LEAVING", 0.5))
        yield


@contextmanager
def ending(how: str, at: int, *, races: bool) -> Iterator[mmap.mmap]:
    """Let processes end so, in the midst of their work; yields a byte that says if any did.

    With `races` those that look for runs while another one looks for proofs, at their turn of this
    number (the first is 1); else those that have a claim of their own, at such a query.
    """
    came = mmap.mmap(-1, 1)
    lines: list[Connection] = []
    count = [0]
    owner, name = (race, "turn_at") if races else (native.Room, "check")
    live, asked = child._live, getattr(owner, name)  # noqa: SLF001 - where a child begins

    def lives(
        work: Callable[[Connection], None], line: Connection, parent: int, *, leads: bool
    ) -> NoReturn:
        if leads is not races:
            lines.append(line)
        else:
            lines.clear()
        live(work, line, parent, leads=leads)

    def asks(*given: Any, **named: Any) -> Any:  # noqa: ANN401 - whatever is asked
        if lines:
            count[0] += 1
            if count[0] == at:
                came[0] = 1
                ENDS[how](lines[-1])
        return asked(*given, **named)

    with patch.object(child, "_live", lives), patch.object(owner, name, asks), _patience():
        yield came


@contextmanager
def no_process(first: int, last: int) -> Iterator[list[int]]:
    """Let forks fail from the one of this number to another; yield the count of them."""
    count = [0]
    fork = os.fork

    def forked() -> int:
        count[0] += 1
        if first <= count[0] <= last:
            raise BlockingIOError(errno.EAGAIN, os.strerror(errno.EAGAIN))
        return fork()

    with patch.object(os, "fork", forked):
        yield count


@contextmanager
def little_memory(solver: int, spare: int) -> Iterator[None]:
    """Give each claim's process so many megabytes: to the solver, and by the system to it all."""

    def limited(_megabytes: int) -> None:
        faulthandler.disable()
        native.limit_memory(solver)
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
        now = pages * resource.getpagesize()
        _, most = resource.getrlimit(resource.RLIMIT_AS)
        resource.setrlimit(resource.RLIMIT_AS, (now + (spare << 20), most))
        # Python 3.11 can spin for ever where it has no memory left even for a small number that it
        # needs while it leaves a `with`: ended here as a person would end it.
        worked = int(time.process_time())
        resource.setrlimit(resource.RLIMIT_CPU, (worked + BUSY, resource.RLIM_INFINITY))

    with patch.object(crew, "limit_memory", limited):
        yield
