"""How each thing on a page looks from which tick on: what is lit, and the words beside it.

A thing is a wire, a part or a row of the time diagram. Its course holds a look for each tick at
which that changes, so a page finds the look of any moment by search. Only what a timer has left
falls between two entries; such a look tells how much there was when it began.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import assert_never

from verifier.causes.possible import may_be
from verifier.causes.reasons import Reasons
from verifier.design.model import Choice, Term
from verifier.report.drawing.plan import PlacedWire, Plan
from verifier.report.drawing.wiring import in_order
from verifier.report.history import Amount, Kept, Leaf, Left, Level, Place, Row, Standing, State

LEFT = "{}"
"""Stands in the words of a look for the span that is left."""


@dataclass(frozen=True, slots=True)
class Look:
    """Classes and words; of a timer also the ticks left at first, out of `full`.

    `falls`: one less each tick.
    """

    classes: str = ""
    words: str = ""
    left: int = 0
    full: int = 0
    falls: bool = False


Course = tuple[tuple[int, Look], ...]


@dataclass(frozen=True, slots=True)
class Thing:
    """The elements of a page that show one thing, by id, and how it looks from which tick on."""

    ids: tuple[str, ...]
    course: Course


def course(ticks: Iterable[int], look: Callable[[int], Look]) -> Course:
    """Return the looks at some ticks, without those that follow from the one before."""
    found: list[tuple[int, Look]] = []
    for tick in sorted({0, *ticks}):
        now = look(tick)
        if not found or _later(found[-1], tick) != now:
            found.append((tick, now))
    return tuple(found)


def _later(before: tuple[int, Look], tick: int) -> Look:
    start, look = before
    return replace(look, left=max(0, look.left - (tick - start))) if look.falls else look


# --- wires ---


def wires(reasons: Reasons, found: Plan, prefix: str) -> Iterator[Thing]:
    """Yield each wire of a plan, with the box that it leaves where that is no part."""
    parts = {part.path for part in reasons.system.design.parts}
    gates = {one.box.key: at for at, one in enumerate(found.boxes) if one.box.key not in parts}
    for number, wire in enumerate(in_order(found)):
        ids = [f"{prefix}-wire-{number}"]
        if wire.key in gates:
            ids.append(f"{prefix}-gate-{gates[wire.key]}")
        yield Thing(tuple(ids), _wire(reasons, wire))


def _wire(reasons: Reasons, wire: PlacedWire) -> Course:
    port, readings = wire.port, reasons.readings
    if port.term is not None:
        return _term(reasons, port.term)
    if port.path in reasons.timers:
        ticks = {one.tick for one in readings.timers[port.path]}
        ticks |= {one.tick + one.left for one in readings.timers[port.path] if one.falls}
        inside = (tick for tick in ticks if tick < readings.length)
        return course(inside, lambda at: lit(readings.left(port.path, at)))
    net = reasons.nets.get(port.path)
    if net is None or isinstance(net.shape, Choice):
        return ((0, Look()),)  # a choice is neither live nor dead
    changes = (tick for tick, _ in readings.changes[port.path])
    return course(changes, lambda at: lit(readings.at(port.path, at), power=port.power))


def _term(reasons: Reasons, term: Term) -> Course:
    """Return how a gate gives its term."""

    def look(tick: int) -> Look:
        value, _ = may_be(term, tick, reasons.look)
        return lit(value)

    return course(reasons.moments(term, reasons.readings.length - 1), look)


def lit(value: int, *, power: bool = False) -> Look:
    """Return the look of a wire; one of power tells its units."""
    if value <= 0:
        return Look()
    return Look("live", str(value) if power else "")


# --- rows ---


def row(ids: tuple[str, ...], shown: Row) -> Thing:
    """Return a row of the time diagram."""
    return Thing(ids, tuple((run.start, state_look(run.state)) for run in shown.runs))


def state_look(state: State) -> Look:
    """Return the words for a state."""
    match state:
        case Level(live):
            return Look(words="live" if live else "")
        case Amount(number, need, units):
            if need:
                return Look("short", f"{number} of {need}")
            return Look(words=amount(number) if units else str(number))
        case Left(ticks, full, falls):
            return Look("", f"{LEFT} left" if ticks else "", ticks, full, falls)
        case Leaf():
            return Look(words=state.value)
        case Place(name, _):
            return Look(words=name.replace(" -> ", " to "))
        case Standing(option, rest):
            return Look(words="" if rest else option)
        case Kept(broken):
            return Look("broken" if broken else "", "broken" if broken else "kept")
        case _:
            assert_never(state)


def amount(units: int) -> str:
    """Return a number of units of power."""
    return f"{units} unit{'' if units == 1 else 's'}" if units else "no units"
