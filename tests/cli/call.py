"""Calls of the command, in this process and in one of its own."""

import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

from click.testing import CliRunner, Result

from verifier.cli.main import main

GOOD = """\
design lamp_post {
  hand : button(holds: 300 ms)
  glow : off_delay(2 s)
  lamp : lamp
  mains : supply(2)
  mains -> glow -> lamp
  hand -> glow.start
  claim stays: lamp lasts at least 2 s
  claim again: lamp returns within 1 min
}
"""
HOLDS = GOOD.replace("  claim again: lamp returns within 1 min\n", "")


def call(*arguments: str) -> Result:
    """Run the command in this process."""
    return CliRunner().invoke(main, list(arguments))


def run(
    *arguments: str, variables: Mapping[str, str] | None = None, folder: Path | None = None
) -> subprocess.CompletedProcess[str]:
    """Run the command as a program of its own."""
    return subprocess.run(
        [sys.executable, "-c", "from verifier.cli.main import main; main()", *arguments],
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2]), **(variables or {})},
    )


def write(folder: Path, text: str, name: str = "garden.latch") -> str:
    """Write a design and return its path."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return str(path)
