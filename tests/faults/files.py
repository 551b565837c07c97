"""Files that cannot be written: commands, and what may stand in the way of what they write."""

import errno
import os
import resource
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

from verifier.cli import certificates, output, retune
from verifier.cli.files import write_whole

DESIGN = """\
design gate_lodge {
  setting rings = 2 s tunable 1 s .. 4 s
  mains : supply(2)
  hand  : button(holds: 300 ms)
  bell  : off_delay(rings)
  lamp  : lamp
  mains -> bell -> lamp
  hand -> bell.start
  keep rung: flag
  rung becomes rung or hand when hand starts
  claim stays: lamp lasts at least 1 s
  claim lit: possible lamp
  claim again: lamp returns within 1 min
}
"""
UNTIDY = DESIGN.replace("  hand  :", "  hand:")
OLD = "what stood here before\n"


@dataclass(frozen=True, slots=True)
class Writes:
    """A command that writes a file: its arguments, with {design} and {out} for the two files."""

    words: tuple[str, ...]
    new_only: bool = False

    def call(self, design: Path, out: Path) -> list[str]:
        """Return the arguments."""
        return [one.format(design=design, out=out) for one in self.words]


COMMANDS = {
    "check --svg": Writes(("check", "{design}", "--svg", "{out}")),
    "check --waveform": Writes(("check", "{design}", "--waveform", "{out}")),
    "page": Writes(("page", "{design}", "-o", "{out}")),
    "draw": Writes(("draw", "{design}", "--svg", "{out}")),
    "run --svg": Writes(("run", "{design}", "--press", "hand at 1 s", "--svg", "{out}")),
    "run --waveform": Writes(("run", "{design}", "--press", "hand at 1 s", "--waveform", "{out}")),
    "parts": Writes(("parts", "pulse", "--svg", "{out}")),
    "retune": Writes(("retune", "{design}", "--claim", "stays", "--write", "{out}"), new_only=True),
    "route": Writes(("route", "{design}", "lit", "--svg", "{out}")),
    "stuck": Writes(("stuck", "{design}", "not rung", "--svg", "{out}")),
    "tidy": Writes(("tidy", "--write", "{out}")),
}


@contextmanager
def as_nobody() -> Iterator[None]:
    """Write as a user who owns nothing, where we are one who may do all."""
    we = os.geteuid()
    with meanwhile(lambda: None if we else os.seteuid(65534)):
        try:
            yield
        finally:
            os.seteuid(we)


@contextmanager
def open_folder() -> Iterator[Path]:
    """Make a folder that everybody comes to."""
    with tempfile.TemporaryDirectory(dir="/tmp") as name:
        Path(name).chmod(0o755)
        yield Path(name)


@contextmanager
def small_files(most: int = 100) -> Iterator[None]:
    """Let no file grow beyond so many bytes: EFBIG, as a full disk says ENOSPC."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def failing(name: str, number: int) -> AbstractContextManager[object]:
    """Let a call of the system fail."""

    def fails(*_given: object, **_named: object) -> object:
        raise OSError(number, os.strerror(number))

    return patch.object(os, name, fails)


@contextmanager
def meanwhile(act: Callable[[], object]) -> Iterator[None]:
    """Do something when all is computed and a file is about to be written."""

    def late(path: Path, text: str) -> None:
        act()
        write_whole(path, text)

    with (
        patch.object(output, "write_whole", late),
        patch.object(retune, "write_whole", late),
        patch.object(certificates, "write_whole", late),
    ):
        yield


def can_mount() -> bool:
    """Whether we may mount: root may, outside of most containers."""
    if os.geteuid():
        return False
    probe = ["unshare", "--mount", "mount", "-t", "tmpfs", "none", "/mnt"]
    return subprocess.run(probe, capture_output=True, check=False).returncode == 0


@contextmanager
def mounted(folder: Path, options: str) -> Iterator[None]:
    """Let a folder be a file system in memory of its own."""
    mount = ["mount", "-t", "tmpfs", "-o", options, "none", str(folder)]
    subprocess.run(mount, check=True)
    try:
        yield
    finally:
        unmount = ["umount", "-l", str(folder)]
        subprocess.run(unmount, check=True)


FULL_CALLS = (
    ("fsync", errno.ENOSPC),
    ("fsync", errno.EIO),
    ("replace", errno.EROFS),
    ("chmod", errno.EPERM),
)
"""Calls of the system on the way to a file, and how each may fail."""
