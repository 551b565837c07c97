"""Calls of the command behind a fence: none may take more than so much time and memory.

One process is started for a batch of calls, loads the program once and forks for each of them;
every child has limits of its own (setrlimit of POSIX.1-2017), and what it took is read from the
system when it has ended (wait4 of 4.3BSD). `python -m tests.hostile.fence` is that process.
"""

import json
import os
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

ROOT = Path(__file__).parents[2]

SPACE = 3_000
"""Megabytes of address space that a call may ever ask for: a stop, not what is promised."""


@dataclass(frozen=True, slots=True)
class Ended:
    """How a call ended: its exit status (None: it was stopped), what it printed and what it took.

    `seconds` are of computing, `megabytes` the most that one of its processes had.
    """

    status: int | None
    out: str
    err: str
    seconds: float
    megabytes: float


@dataclass(frozen=True, slots=True)
class Fence:
    """What a call may take: seconds of computing in one process, and of waiting in all."""

    seconds: int = 20
    patience: int = 90


def fenced(
    calls: Mapping[str, Sequence[str]], folder: Path, fence: Fence | None = None
) -> dict[str, Ended]:
    """Make calls, each known by a name, from a folder; return how each ended."""
    fence = fence or Fence()
    order = json.dumps(
        {"calls": {name: list(words) for name, words in calls.items()}, "seconds": fence.seconds}
        | {"patience": fence.patience}
    )
    ended = subprocess.run(
        [sys.executable, "-m", "tests.hostile.fence"],
        input=order,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    if ended.returncode:
        raise RuntimeError(ended.stderr)
    return {name: Ended(**found) for name, found in json.loads(ended.stdout).items()}


def _child(words: Sequence[str], seconds: int, names: tuple[str, str]) -> None:
    """Become a call; never returns."""
    os.setsid()
    for number, name in zip((1, 2), names, strict=True):
        os.dup2(os.open(name, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), number)
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    resource.setrlimit(resource.RLIMIT_AS, (SPACE << 20, SPACE << 20))
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1))
    status = 70
    try:
        import_module("verifier.cli.main").main(list(words))
    except SystemExit as wished:
        status = wished.code if isinstance(wished.code, int) else 0
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(status)


def _call(words: Sequence[str], seconds: int, patience: int, folder: Path) -> Ended:
    names = (str(folder / "out"), str(folder / "err"))
    child = os.fork()
    if child == 0:
        _child(words, seconds, names)
    until = time.monotonic() + patience
    while True:
        number, status, took = os.wait4(child, os.WNOHANG)
        if number:
            break
        if time.monotonic() > until:
            os.killpg(child, signal.SIGKILL)
        time.sleep(0.005)
    out, err = (Path(name).read_bytes().decode("utf-8", "replace") for name in names)
    return Ended(
        os.WEXITSTATUS(status) if os.WIFEXITED(status) else None,
        out,
        err,
        took.ru_utime + took.ru_stime,
        took.ru_maxrss / 1024,
    )


def _main() -> None:
    import tempfile

    order = json.load(sys.stdin)
    # What all calls need is loaded before they part.
    for name in ("check", "tidy", "recheck", "run"):
        import_module(f"verifier.cli.{name}")
    found = {}
    with tempfile.TemporaryDirectory() as folder:
        for name, words in order["calls"].items():
            ended = _call(words, order["seconds"], order["patience"], Path(folder))
            found[name] = {field: getattr(ended, field) for field in Ended.__slots__}
    json.dump(found, sys.stdout)


if __name__ == "__main__":
    _main()
