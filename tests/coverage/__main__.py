"""Counts what the tests run of verifier/, by folder: `python -m tests.coverage [PYTEST OPTION...]`.

All tests are run, slowly, and what was left out is listed. What forks and commands of their own run
counts too, except where they are killed before they have written it down. With `--again` the tests
that are named add to what was counted before.
"""

import json
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.coverage.table import LEAST, least, table

ROOT = Path(__file__).resolve().parents[2]


def coverage(*words: str) -> int:
    """Run a command of coverage.py; return its exit status."""
    return subprocess.run(
        [sys.executable, "-m", "coverage", *words], cwd=ROOT, check=False
    ).returncode


def main(arguments: Sequence[str]) -> int:
    """Run the tests, print what they left out and the table; return the exit status."""
    again = "--again" in arguments
    options = [one for one in arguments if one != "--again"]
    if not again:
        coverage("erase")
    failed = coverage("run", "-m", "pytest", *options)
    coverage("combine", "--quiet", *(["--append"] if again else []))
    coverage("report")
    with TemporaryDirectory() as folder:
        path = Path(folder) / "coverage.json"
        coverage("json", "--quiet", "-o", str(path))
        counts = json.loads(path.read_text(encoding="utf-8"))["files"]
    sys.stdout.write("\n".join(table(counts)) + "\n")
    return 1 if failed or least(counts) < LEAST else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
