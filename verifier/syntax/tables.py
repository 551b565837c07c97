"""Keeps the parser's tables between runs: making them takes longer than most checks.

The tables lie in the person's own cache folder, under a name that holds the hash of the grammar and
the versions of the parser and of Python. A folder that others may write to is not used, since
loading tables means trusting them (they are pickled).
"""

import contextlib
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
    path = _path(f"{grammar} {version} {sys.version}")
    kept = None if path is None else _kept(path)
    if kept is not None:
        return load(BytesIO(kept))
    made = make()
    if path is not None:
        written = BytesIO()
        made.save(written)
        _keep(written.getvalue(), path)
    return made


def _path(key: str) -> Path | None:
    """Return where the tables lie, or None where there is no folder to be trusted."""
    base = os.environ.get("XDG_CACHE_HOME", "")
    try:
        # The specification of base directories has it that a relative one is to be ignored.
        top = Path(base) if Path(base).is_absolute() else Path.home() / ".cache"
        folder = top / "latchwork"
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        known = folder.lstat()
    except (OSError, RuntimeError):
        return None
    ours = not hasattr(os, "getuid") or known.st_uid == os.getuid()
    others = known.st_mode & (stat.S_IWGRP | stat.S_IWOTH) and os.name == "posix"
    if not stat.S_ISDIR(known.st_mode) or not ours or others:
        return None
    return folder / f"grammar-{hashlib.sha256(key.encode()).hexdigest()[:32]}.tables"


def _kept(path: Path) -> bytes | None:
    """Return what was kept, or None if there is nothing whole."""
    try:
        found = path.read_bytes()
    except OSError:
        return None
    length = hashlib.sha256().digest_size
    digest, tables = found[:length], found[length:]
    return tables if hashlib.sha256(tables).digest() == digest else None


def _keep(tables: bytes, path: Path) -> None:
    """Write the tables whole or not at all, with a digest that tells if they still are."""
    with contextlib.suppress(OSError), tempfile.TemporaryDirectory(dir=path.parent) as folder:
        draft = Path(folder) / path.name
        draft.write_bytes(hashlib.sha256(tables).digest() + tables)
        draft.replace(path)
