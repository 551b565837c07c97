"""Keeps the parser's tables between runs: making them takes longer than most checks.

The tables lie in the person's own cache folder, under a name that holds the hash of the grammar and
the versions of the parser and of Python. A folder that others may write to is not used, since
loading tables means trusting them (they are pickled).
"""

import hashlib
import os
import stat
import sys
import tempfile
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import BinaryIO, Protocol, TypeVar


class Tables(Protocol):
    """Tables that can write themselves to a file."""

    def save(self, f: BinaryIO, exclude_options: tuple[str, ...] = ()) -> None:
        """Write the tables."""


Made = TypeVar("Made", bound=Tables)


def cached_tables(
    grammar: str, version: str, make: Callable[[], Made], load: Callable[[BinaryIO], Made]
) -> Made:
    """Return the tables of a grammar: from the cache, or made anew and put there.

    Nothing that goes wrong with the cache matters: the tables are then made.
    """
    path = _path(grammar, version)
    if path is not None:
        try:
            return load(BytesIO(path.read_bytes()))
        except Exception:  # noqa: BLE001, S110 - a missing or broken cache is no fault of anybody
            pass
    made = make()
    if path is not None:
        _keep(made, path)
    return made


def _path(grammar: str, version: str) -> Path | None:
    base = os.environ.get("XDG_CACHE_HOME") or str(Path("~").expanduser() / ".cache")
    folder = Path(base) / "latchwork"
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        known = folder.stat()
    except OSError:
        return None
    if hasattr(os, "getuid") and (
        known.st_uid != os.getuid() or known.st_mode & (stat.S_IWGRP | stat.S_IWOTH)
    ):
        return None
    names = f"{grammar} {version} {sys.version}".encode()
    return folder / f"grammar-{hashlib.sha256(names).hexdigest()[:32]}.tables"


def _keep(made: Tables, path: Path) -> None:
    """Write the tables whole or not at all."""
    try:
        handle, name = tempfile.mkstemp(dir=path.parent)
        with os.fdopen(handle, "wb") as file:
            made.save(file)
        Path(name).replace(path)
    except Exception:  # noqa: BLE001, S110 - a cache that cannot be written costs time only
        pass
