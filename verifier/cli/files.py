"""Files that are written whole or not at all."""

import os
import tempfile
from contextlib import suppress
from pathlib import Path


def write_whole(path: Path, text: str) -> None:
    """Put a text in place of a file in one step; a reader sees the old text or the new one.

    A link is followed, and the rights of the file that was there are kept.

    Raises:
        OSError: It could not be written; the old file is then untouched.
    """
    path = path.resolve()
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        Path(name).chmod(path.stat().st_mode & 0o7777 if path.exists() else 0o666 & ~_umask())
        Path(name).replace(path)
    except BaseException:
        with suppress(OSError):
            Path(name).unlink()
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
