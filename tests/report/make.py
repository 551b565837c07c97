"""Small designs, runs and boards to report on."""

import io
from collections.abc import Sequence
from pathlib import Path

from rich.text import Text

from verifier.design.files import of_source
from verifier.design.resolve import designs_in, resolve
from verifier.report.history import Row, Run, State
from verifier.report.look import Board, Letters, board, letters_for
from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.system.lower import lower
from verifier.system.model import Question, System
from verifier.verdict.answer import Answer, Outcome
from verifier.verdict.trace import Step, Trace

VESTIBULE = """\
design vestibule {
  tick 100 ms
  mains    : supply(8)
  feed     : divider(ways: 2)
  ask_out  : button(holds: 300 ms)
  ask_in   : button(holds: 300 ms)
  open_out : pulse(6 s)
  open_in  : pulse(6 s)
  outer    : door(opens: 2 s, shuts: 3 s)
  inner    : door(opens: 2 s, shuts: 3 s)
  mains -> feed
  feed.way[1] -> open_out -> outer
  feed.way[2] -> open_in -> inner
  open_out.start when ask_out and not inner.ajar
  open_in.start when ask_in and not outer.ajar
  claim apart "never both ajar": never outer.ajar and inner.ajar
  claim rests: open_out.on lasts at most 6 s
  claim ways: possible inner.open within 10 s
  claim calm: outer.ajar returns
}
"""


def systems(text: str, name: str = "garden.latch") -> list[System]:
    """Return the systems of the designs in a text; nothing may be wrong with it."""
    collector = Collector()
    unit = of_source(Source(name, text), Path(name), collector)
    assert unit is not None, collector.found
    found = [resolve(block, unit, collector) for block in designs_in(unit)]
    assert not collector.failed, collector.found
    return [lower(design) for design in found if design is not None]


def system(text: str) -> System:
    """Return the system of the one design in a text."""
    (found,) = systems(text)
    return found


def question(where: System, name: str) -> Question:
    return next(one for one in where.questions if one.name == name)


def answer(where: System, name: str, outcome: Outcome) -> Answer:
    return Answer(question(where, name), outcome)


def trace(where: System, *steps: tuple[int, dict[str, int]]) -> Trace:
    """Return a run: for so many ticks these choices by name, all else at rest."""
    index = {choice.name: number for number, choice in enumerate(where.choices)}
    draws = tuple(
        max((load.low for load in clock.loads), default=0) if clock.ranged else 0
        for clock in where.clocks
    )
    made: list[Step] = []
    for ticks, told in steps:
        choices = [0] * len(where.choices)
        for name, option in told.items():
            choices[index[name]] = option
        made.append(Step(tuple(choices), draws, ticks))
    return Trace(tuple(made))


def row(name: str, *stretches: tuple[State, int], note: str = "", asked: bool = False) -> Row:
    """Return a row of states, each for so many ticks."""
    runs: list[Run] = []
    tick = 0
    for state, ticks in stretches:
        runs.append(Run(tick, tick + ticks, state))
        tick += ticks
    return Row(name, tuple(runs), note, asked)


def paper(columns: int = 80, letters: Letters | None = None) -> tuple[Board, io.StringIO]:
    """Return a board of some width and the stream that it writes on."""
    stream = io.StringIO()
    made = board(stream, columns)
    return Board(made.console, letters or letters_for("utf-8")), stream


def plain(lines: Sequence[Text]) -> str:
    return "".join(f"{line.plain.rstrip()}\n" for line in lines)
