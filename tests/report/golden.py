"""Expected outputs, kept as text files beside the tests.

`RENEW_GOLDEN=1 pytest tests/report tests/cli` writes them anew; look at the change before you
commit it.
"""

import os
from pathlib import Path

FOLDER = Path(__file__).resolve().parent / "golden"


def compare(name: str, text: str) -> None:
    """Compare a text with the file of this name."""
    path = FOLDER / f"{name}.txt"
    if os.environ.get("RENEW_GOLDEN"):
        path.write_text(text, encoding="utf-8")
    assert text == path.read_text(encoding="utf-8")
