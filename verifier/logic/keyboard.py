"""An interrupt from the keyboard while the solver is at work.

Python hears of it only once the call into the solver's library is over. The solver has ears of its
own, but an interrupt that comes in the last moments of a query is lost with them: the query has an
answer, and nobody learns that it was to be stopped. So a thread listens for as long as the query
lasts and stops it, and KeyboardInterrupt is raised as ever. The thread is gone by the next fork.
"""

import os
import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from select import select

_AGAIN = 0.05
"""Seconds after which the solver is told once more: it may not have begun when it was first."""

_OVER = b"\0"
"""No signal has this number."""

_deaf = False


def be_deaf() -> None:
    """Take no notice of the keyboard in this process: who started it says when to stop."""
    global _deaf  # noqa: PLW0603 - a process is deaf or it is not
    _deaf = True


@contextmanager
def listening(stop: Callable[[], object]) -> Iterator[None]:
    """Call `stop`, from another thread, if an interrupt comes meanwhile; it is then raised."""
    here = threading.current_thread() is threading.main_thread()
    if _deaf or not here or not callable(signal.getsignal(signal.SIGINT)):
        yield
        return
    noted: list[int] = []
    # Raised at once, an interrupt could leave the thread behind with a solver that is gone.
    usual = signal.signal(signal.SIGINT, lambda number, _frame: noted.append(number))
    reader, writer = os.pipe()
    os.set_blocking(writer, False)
    before = signal.set_wakeup_fd(writer, warn_on_full_buffer=False)
    listener = threading.Thread(target=_listen, args=(reader, stop), daemon=True)
    listener.start()
    try:
        yield
    finally:
        signal.set_wakeup_fd(before)
        os.write(writer, _OVER)
        listener.join()
        os.close(reader)
        os.close(writer)
        signal.signal(signal.SIGINT, usual)
        if noted:
            raise KeyboardInterrupt


def _listen(reader: int, stop: Callable[[], object]) -> None:
    interrupted = False
    while True:
        if select([reader], [], [], _AGAIN if interrupted else None)[0]:
            said = os.read(reader, 1)
            if said == _OVER:
                return
            interrupted = interrupted or said == bytes([signal.SIGINT])
        if interrupted:
            stop()
