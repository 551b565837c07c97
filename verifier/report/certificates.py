"""Where certificates were written, in the terminal."""

from collections.abc import Sequence
from pathlib import Path

from rich.text import Text

from verifier.report.letters import shown
from verifier.report.look import FAINT, Board
from verifier.report.paragraph import paragraph


def write_certificates(board: Board, answers: int, files: Sequence[Path]) -> None:
    """Say how many of the answers have one, and how to have them judged again."""
    folder = files[0].parent
    count = f"{len(files)} of {answers} answers" if len(files) < answers else "each answer"
    words = (
        f"What shows {count} was written to {shown(str(folder))}; to have it judged again: "
        f"latchwork recheck {shown(str(folder))}/*.certificate"
    )
    for line in paragraph(board.width, Text(), words, FAINT):
        board.console.print(line)
    board.console.print()
