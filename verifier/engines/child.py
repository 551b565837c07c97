"""A fork at work: it says what it has found over a pipe, or it is told what became of it.

Whatever happens to a child, its parent goes on: a child that dies, fails, hangs or talks nonsense
is `Lost`, with the reason. It ends when it is told to, or when its parent is gone.
"""

import ctypes
import multiprocessing
import os
import signal
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path
from traceback import extract_tb
from typing import NoReturn

from verifier.logic import keyboard

_PR_SET_PDEATHSIG = 1
"""See prctl(2)."""

LOOK_EVERY = 2.0
"""Seconds between two looks at a child that says nothing."""

STILL = 60
"""A child that did no work at all between so many looks in a row hangs: it would do so for ever.
Looks are counted, not seconds, since the machine may have slept; and work, since it may be busy."""

LEAVING = 5.0
"""Seconds that a child may take to end once it has closed its end of the line."""

_origin = [0]
"""The number of the process that began this one; 0 in one that is no child."""

_FAULT = "its process failed, which is a fault of ours: please report it"

_STOPPING = (signal.SIGINT, signal.SIGTERM)


@dataclass(frozen=True, slots=True)
class Lost:
    """What came of work that ended without a result: by its `status`, or for a reason in words."""

    status: int | None
    why: str = ""

    @property
    def words(self) -> str:
        """Say how it ended."""
        if self.why:
            return self.why
        if self.status is not None and self.status < 0:
            return f"its process was killed ({_signal_name(-self.status)})"
        return f"its process ended without a word (status {self.status}), for want of memory maybe"


HUNG = Lost(None, "its process hung and was stopped")
NONSENSE = Lost(None, "its process said something that makes no sense")


def _signal_name(number: int) -> str:
    try:
        return signal.Signals(number).name
    except ValueError:
        return f"signal {number}"


@dataclass(frozen=True, slots=True)
class _Failed:
    """What a child says in place of a result when it fails."""

    words: str


class NoChildError(Exception):
    """No process can be started now; the words are the system's own."""


class Child:
    """A fork at work; `line` is this end of a pipe to it.

    It never sees an interrupt from the keyboard: who started it says when to stop.
    """

    def __init__(self, work: Callable[[Connection], None], *, leads: bool = False) -> None:
        """Start; with `leads`, children of this one are stopped along with it.

        Raises:
            NoChildError: The system gives no process.
        """
        self._leads = leads
        self._ended = False
        self._status: int | None = None
        self._worked: float | None = None
        self._still = 0
        parent = os.getpid()
        _flush()
        # An interrupt waits until it is settled who is the parent and who is the child.
        held = signal.pthread_sigmask(signal.SIG_BLOCK, _STOPPING)
        try:
            self.line, other = multiprocessing.Pipe()
            self.number = os.fork()
            if not self.number:
                self.line.close()
                _live(work, other, parent, leads=leads)
        except OSError as refused:
            raise NoChildError(refused.strerror) from refused
        finally:
            signal.pthread_sigmask(signal.SIG_SETMASK, held)
        other.close()
        if leads:
            _lead(self.number)

    def said(self) -> object:
        """Return what it says next, and wait for it; Lost where nothing more comes of it."""
        self._still = 0
        while not self.line.poll(LOOK_EVERY):
            if self.hangs():
                return HUNG
        return self.heard()

    def heard(self) -> object:
        """Return what it has said, which is there; Lost where that is nothing that can be read."""
        try:
            found: object = self.line.recv()
        except (EOFError, ConnectionResetError):
            return self.ended()
        except Exception:  # noqa: BLE001 - what is no message may fail in any way
            return NONSENSE
        if isinstance(found, _Failed):
            return Lost(None, f"{_FAULT}: {found.words}")
        return found

    def hangs(self) -> bool:
        """Whether it hangs; to be asked once in `LOOK_EVERY` seconds while it says nothing."""
        worked = _worked(self.number)
        moved = worked is None or worked != self._worked
        self._worked = worked
        self._still = 0 if moved else self._still + 1
        return self._still >= STILL

    def ended(self) -> Lost:
        """Return how it ended, once it has closed its end of the line."""
        until = time.monotonic() + LEAVING
        while not self._gone(os.WNOHANG) and time.monotonic() < until:
            time.sleep(0.005)
        if not self._ended:
            return HUNG
        return Lost(self._status)

    def stop(self) -> None:
        """Stop it, and all that it started, at once."""
        if self._leads:
            with suppress(ProcessLookupError, PermissionError):
                os.killpg(self.number, signal.SIGKILL)
        if not self._ended:
            with suppress(ProcessLookupError):
                os.kill(self.number, signal.SIGKILL)
            self._gone(0)
        self.line.close()

    def _gone(self, how: int) -> bool:
        """Whether it has ended; its number may be another's then, and it is not asked again."""
        if not self._ended:
            try:
                number, status = os.waitpid(self.number, how)
            except ChildProcessError:
                # Somebody else has waited for it, and knows how it ended.
                self._ended = True
            else:
                self._ended = number != 0
                self._status = os.waitstatus_to_exitcode(status) if number else None
        return self._ended


def _flush() -> None:
    """Write out what is still to be printed, which the child would print once more."""
    for stream in (sys.stdout, sys.stderr):
        if stream is not None:
            with suppress(ValueError):
                stream.flush()


def _lead(number: int) -> None:
    with suppress(ProcessLookupError, PermissionError):
        os.setpgid(number, number)


def _live(
    work: Callable[[Connection], None], line: Connection, parent: int, *, leads: bool
) -> NoReturn:
    """Do the work in a child, and end it, however the work ends."""
    status = 1
    try:
        _origin[0] = parent
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        signal.signal(signal.SIGTERM, signal.SIG_DFL)
        signal.pthread_sigmask(signal.SIG_UNBLOCK, _STOPPING)
        _end_with_parent(parent)
        if leads:
            _lead(0)
        keyboard.be_deaf()
        work(line)
        status = 0
    except (BrokenPipeError, ConnectionResetError, EOFError):
        # Whoever listens is gone: nothing is left to be said.
        pass
    except MemoryError:
        pass  # there may be too little of it to say so
    except BaseException as error:  # noqa: BLE001 - nobody is shown a traceback
        with suppress(Exception):
            line.send(_Failed(_words(error)))
    finally:
        os._exit(status)


def _words(error: BaseException) -> str:
    frames = extract_tb(error.__traceback__)
    place = f" at {Path(frames[-1].filename).name}:{frames[-1].lineno}" if frames else ""
    return f"{type(error).__name__}: {str(error).partition(chr(10))[0]}{place}"


def _end_with_parent(parent: int) -> None:
    """Let the system end this process when its parent is gone, where it knows how (Linux)."""
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, signal.SIGKILL)
    if os.getppid() != parent:
        os._exit(1)


def _worked(number: int) -> float | None:
    """Return the seconds that a process was at work, None where the system does not say.

    Source: clock_getcpuclockid in POSIX.1-2017.
    """
    if sys.platform != "linux":
        return None
    clock = ctypes.c_int()
    if ctypes.CDLL(None).clock_getcpuclockid(number, ctypes.byref(clock)):
        return None
    try:
        return time.clock_gettime(clock.value)
    except OSError:
        return None


def orphaned() -> bool:
    """Tell whether the parent of this child is gone, even if it went before this was asked."""
    return _origin[0] not in (0, os.getppid())
