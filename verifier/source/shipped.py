"""Files that ship with the package: the grammar and the standard parts.

In the repository they stand in `grammar/` at the top; in an installed package, inside `verifier`.
"""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent.parent
_FOLDERS = (_PACKAGE / "grammar", _PACKAGE.parent / "grammar")


def shipped_text(name: str) -> str:
    """Return the text of a shipped file, `design.lark` or `parts.latch`.

    Raises:
        FileNotFoundError: The installation is incomplete.
    """
    for folder in _FOLDERS:
        path = folder / name
        if path.is_file():
            return path.read_text(encoding="utf-8")
    raise FileNotFoundError(name)
