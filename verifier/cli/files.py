"""Files that are written whole or not at all."""

import os
import signal
import stat
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

_LONGEST_PREFIX = 40
"""Letters: a file system takes names of 255 bytes, and a letter may be four of them."""


def write_whole(path: Path, text: str) -> None:
    """Put a text in place of a file in one step; a reader sees the old text or the new one.

    A link is followed, and the rights of the file that was there are kept. What is no file, such as
    a device or a pipe, stays in its place and is written to.

    Raises:
        OSError: It could not be written; the old file is then untouched.
    """
    try:
        there = path.stat().st_mode
    except FileNotFoundError:
        there = None
    if there is not None and not stat.S_ISREG(there):
        with path.open("w", encoding="utf-8", newline="") as device:
            device.write(text)
        return
    if there is not None:
        path.open("ab").close()  # the right to the folder is none to the file
    rights = 0o666 & ~_umask() if there is None else there & 0o7777
    with _undisturbed():
        _replace(path.resolve(), text, rights)


def _replace(path: Path, text: str, rights: int) -> None:
    prefix = f".{path.name[:_LONGEST_PREFIX]}."
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=prefix)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        Path(name).chmod(rights)
        Path(name).replace(path)
    except BaseException:
        with suppress(OSError):
            Path(name).unlink()
        raise


@contextmanager
def _undisturbed() -> Iterator[None]:
    """Let signals that would end this process wait until nothing is half done."""
    if sys.platform == "win32":
        yield
        return
    ending = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
    held = signal.pthread_sigmask(signal.SIG_BLOCK, ending)
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, held)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
