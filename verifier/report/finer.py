"""Which answers hang on the length of the tick."""

from collections.abc import Sequence

from rich.text import Text

from verifier.report.letters import shown, width
from verifier.report.look import BROKEN, STRONG, Board
from verifier.source.times import span
from verifier.verdict.answer import Answer


def write_flips(
    board: Board, tick_ns: int, usual: Sequence[Answer], finer: Sequence[Answer]
) -> None:
    """Print the claims whose verdict is another one at a finer tick of `tick_ns`."""
    before = {answer.question.name: answer.outcome.verdict for answer in usual}
    flips = [
        (answer.question.name, before[answer.question.name], answer.outcome.verdict)
        for answer in finer
        if before.get(answer.question.name, answer.outcome.verdict) is not answer.outcome.verdict
    ]
    console = board.console
    head = f"Asked again with a tick of {span(tick_ns)}: "
    if not flips:
        console.print(Text(f"{head}every verdict stays."))
    else:
        many = "1 verdict flips" if len(flips) == 1 else f"{len(flips)} verdicts flip"
        console.print(Text.assemble(head, (f"{many}.", BROKEN)))
    longest = max((width(shown(name)) for name, _, _ in flips), default=0)
    for name, was, now in flips:
        padding = " " * (longest - width(shown(name)))
        console.print(
            Text.assemble("  ", (shown(name), STRONG), f"{padding}  {was.value}, then {now.value}")
        )
    console.print()
