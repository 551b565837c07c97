"""The reference simulator: a cone printed as Python and run tick by tick.

This is the yardstick for every engine, so the text that it prints is plain enough to be read beside
the design (`Program.source`): no jumps, no short cuts, one line for what each register and clock is
at the next tick. Where a long step has grown calm, its ticks are looked at many at once, each of
them still (`verifier/system/ahead.py`).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import cast

from verifier.system.ahead import Ahead, ahead
from verifier.system.expr import Node
from verifier.system.model import Cone
from verifier.system.printed import (
    Printer,
    changing,
    entry,
    next_clock,
    next_register,
    state,
    swap,
    tuple_of,
)
from verifier.system.state import State, Step

Registers = Sequence[bool]
Positions = Sequence[int]

# (registers, clocks, choices, draws) -> registers and clocks a tick later, values of the roots now
Tick = Callable[
    [Registers, Positions, Positions, Positions],
    tuple[tuple[bool, ...], tuple[int, ...], tuple[bool, ...]],
]
# (registers, clocks, choices, draws, limit) -> registers, clocks, ticks gone, which stop was met
Run = Callable[
    [Registers, Positions, Positions, Positions, int],
    tuple[tuple[bool, ...], tuple[int, ...], int, int | None],
]


class RefusedStepError(ValueError):
    """A step that the system cannot take: a choice it does not have, a draw out of range."""


@dataclass(frozen=True, slots=True)
class Ran:
    """Where a run has come to: `ticks` gone, and which of the stops is live there (None: none)."""

    state: State
    ticks: int
    met: int | None


LONG = 256
"""Ticks of a step below which it is not worth printing a function that looks ahead."""

BURST = (4, 64)
"""How many ticks are run, at least and at most, before one looks ahead."""

WIDTH = (64, 8, 1 << 15)
"""How many ticks one looks ahead at first, how many times as far after each time that all of them
went as supposed, and how far at most."""


@dataclass(frozen=True, eq=False)
class Program:
    """A cone as two Python functions; `tick` and `until` are those themselves, on bare tuples.

    They trust their arguments but for draws. `step` and `run` look at a step first.
    """

    cone: Cone
    stops: tuple[Node, ...]
    source: str
    tick: Tick
    until: Run

    def step(
        self, at: State, choices: Positions, draws: Positions
    ) -> tuple[State, tuple[bool, ...]]:
        """Return the state one tick later, and the values of the cone's roots at this tick.

        Raises:
            RefusedStepError: the choices or draws are none that the system has.
        """
        self.check(choices, draws)
        registers, clocks, values = self.tick(at.registers, at.clocks, choices, draws)
        return State(registers, clocks), values

    def run(self, at: State, step: Step) -> Ran:
        """Go on for the ticks of the step, or to the first tick at which one of the stops is live.

        Raises:
            RefusedStepError: the choices or draws are none that the system has.
        """
        self.check(step.choices, step.draws)
        if step.ticks < LONG or self._ahead is None:
            return self._plain(at, step, step.ticks)
        gone, burst = 0, BURST[0]
        while True:
            near = self._plain(at, step, min(burst, step.ticks - gone) - 1)
            last = self._plain(near.state, step, 1)
            gone += near.ticks + last.ticks
            calm = self._calm(self._ahead, near.state, last.state, step, step.ticks - gone)
            at, gone = calm.state, gone + calm.ticks
            if last.met is not None or gone == step.ticks:
                return Ran(at, gone, last.met)
            burst = BURST[0] if calm.ticks > BURST[1] else min(2 * burst, BURST[1])

    def _plain(self, at: State, step: Step, limit: int) -> Ran:
        """Go on tick by tick for so many ticks, or to the first at which a stop is live."""
        found = self.until(at.registers, at.clocks, step.choices, step.draws, limit)
        return Ran(State(found[0], found[1]), found[2], found[3])

    def _calm(self, looks: Ahead, before: State, at: State, step: Step, left: int) -> Ran:
        """Go on, for `left` ticks at most, while all goes on as it did in the last tick."""
        if before.registers != at.registers:
            return Ran(at, 0, None)
        counting = tuple(now < then for now, then in zip(at.clocks, before.clocks, strict=True))
        clocks, gone, width = at.clocks, 0, WIDTH[0]
        while gone < left:
            width = min(width, left - gone)
            ticks = looks(at.registers, clocks, step.choices, step.draws, counting, width)
            clocks = tuple(
                max(shows - ticks, 0) if counts else shows
                for shows, counts in zip(clocks, counting, strict=True)
            )
            gone += ticks
            if ticks < width:
                break
            width = min(width * WIDTH[1], WIDTH[2])
        return Ran(State(at.registers, clocks), gone, None)

    @cached_property
    def _ahead(self) -> Ahead | None:
        return ahead(self.cone, self.stops)

    def check(self, choices: Positions, draws: Positions) -> None:
        """Refuse choices and draws that do not fit the system; draws are looked at when loaded."""
        system = self.cone.system
        if len(choices) != len(system.choices) or len(draws) != len(system.clocks):
            raise RefusedStepError("the step does not fit the system's choices and clocks")
        for index in self.cone.choices:
            choice = system.choices[index]
            if not 0 <= choices[index] < len(choice.options):
                raise RefusedStepError(f"{choice.name} has no option {choices[index]}")


def program(cone: Cone, stops: Sequence[Node] = ()) -> Program:
    """Print a cone as Python and compile it. The stops must be in the cone."""
    source = "\n".join([*_tick(cone), "", "", *_until(cone, stops), ""])
    names = compiled(cone, source)
    return Program(
        cone=cone,
        stops=tuple(stops),
        source=source,
        tick=cast("Tick", names["tick"]),
        until=cast("Run", names["until"]),
    )


def compiled(cone: Cone, source: str) -> dict[str, object]:
    """Return the functions that a printed text defines."""
    clocks = cone.system.clocks

    def drawn(index: int, value: int, low: int, high: int) -> int:
        if not low <= value <= high:
            name = clocks[index].name
            raise RefusedStepError(f"{name} was drawn {value}, which is not in {low} .. {high}")
        return value

    names: dict[str, object] = {"drawn": drawn}
    exec(compile(source, f"<{cone.system.design.name}>", "exec"), names)  # noqa: S102 - printed by us
    return names


def _tick(cone: Cone) -> list[str]:
    printer = Printer([*cone.roots, *changing(cone)])
    values = tuple_of([printer.text(root) for root in cone.roots])
    return [
        "def tick(registers, clocks, choices, draws):",
        *indented(1, entry(cone)),
        *indented(1, printer.before),
        *indented(1, printer.lines),
        f"    values = {values}",
        *indented(1, nexts(cone, printer)),
        *indented(1, swap(cone)),
        f"    return {state(cone)}, values",
    ]


def _until(cone: Cone, stops: Sequence[Node]) -> list[str]:
    printer = Printer([*stops, *changing(cone)])
    checks = []
    for place, stop in enumerate(stops):
        checks.extend([f"if {printer.text(stop)}:", f"    met = {place}", "    break"])
    return [
        "def until(registers, clocks, choices, draws, limit):",
        *indented(1, entry(cone)),
        *indented(1, printer.before),
        "    ticks, met = 0, None",
        "    while ticks < limit:",
        *indented(2, printer.lines),
        *indented(2, checks),
        *indented(2, nexts(cone, printer)),
        *indented(2, swap(cone)),
        "        ticks += 1",
        f"    return {state(cone)}, ticks, met",
    ]


def nexts(cone: Cone, printer: Printer) -> list[str]:
    """Return the lines for what comes next, registers before clocks."""
    registers = [next_register(cone, printer, index) for index in cone.registers]
    return registers + [next_clock(cone, printer, index) for index in cone.clocks]


def indented(depth: int, lines: Sequence[str]) -> list[str]:
    """Return lines moved to the right."""
    return [f"{'    ' * depth}{line}" for line in lines]
