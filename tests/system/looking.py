"""Looking at what is lowered, tick by tick."""

from collections.abc import Iterable, Sequence

from tests.system.stepper import following, values
from verifier.system.expr import Node
from verifier.system.model import System
from verifier.system.state import start_of


def seen(system: System, node: Node, rows: Iterable[Sequence[int]]) -> str:
    """What a node shows tick by tick under some choices: 1 live, 0 dead."""
    at, shown = start_of(system), ""
    for row in rows:
        (live,) = values(at, row, [node])
        shown += str(int(live))
        at = following(system, at, row, (0,) * len(system.clocks))
    return shown


def bits(text: str) -> list[tuple[int, ...]]:
    """Choices of one button, tick by tick."""
    return [(int(letter),) for letter in text]


def counted(system: System, path: str, rows: Iterable[Sequence[int]]) -> list[int]:
    """What a number shows tick by tick."""
    at, shown, number = start_of(system), [], system.shown[path]
    for row in rows:
        shown.append(number.low + sum(values(at, row, number.nodes)))
        at = following(system, at, row, (0,) * len(system.clocks))
    return shown


def left(system: System, rows: Iterable[Sequence[int]], index: int = 0) -> list[int]:
    """What a timer shows tick by tick."""
    at, shown = start_of(system), []
    for row in rows:
        shown.append(at.clocks[index])
        at = following(system, at, row, (0,) * len(system.clocks))
    return shown
