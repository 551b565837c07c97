"""What people and surroundings did in a run, and what it began with, in words."""

from collections.abc import Iterator
from typing import assert_never

from verifier.design.model import Choice, Design, Flag, Free, Net, Number, Part
from verifier.report.clock import Clock
from verifier.report.events import Event, Kind
from verifier.report.graph import Graph
from verifier.report.rows import Focus
from verifier.simulate.readings import Readings


def presses(design: Design, readings: Readings, focus: Focus) -> Iterator[Event]:
    """Yield each change of a free value that matters to the focus; walkers tell of themselves.

    A hand on a part whose output follows in the same tick presses it, and lets it go; a hand on one
    that keeps what it was told moves it. Letting go is told only where something follows from it.
    """
    parts = {part.path: part for part in design.parts}
    thrown = moved(design)
    for free in design.free:
        if not free.is_press or free.net not in focus.cone:
            continue
        part = parts.get(free.net.part)
        held = free.net not in thrown
        name = part.path if part is not None else free.net.path
        for tick, value in _changes(readings, free.net):
            if part is not None and not value and not _changes_then(readings, part, tick):
                continue
            words = _words(free, name, value, held=held)
            if words:
                yield Event(tick, Kind.PRESS, words, about=name, starts=bool(value))


def moved(design: Design) -> frozenset[Net]:
    """Return the hands that move something that stays, and need not be held."""
    parts = {part.path: part for part in design.parts}
    graph = Graph.of(design)
    hands = (free.net for free in design.free if free.is_press and free.net.part in parts)
    return frozenset(net for net in hands if not _follows(graph, net, parts[net.part]))


def beginnings(design: Design, readings: Readings, focus: Focus) -> Iterator[Event]:
    """Yield what is kept otherwise at tick 0 than the design says: a run from anywhere."""
    for kept in design.kept:
        value = readings.at(kept.net.path, 0)
        if kept.net in focus.cone and value != kept.start:
            yield Event(0, Kind.START, f"at first {kept.net.path} {_standing(kept.net, value)}")
    clock = Clock(design.tick_ns)
    for timer in design.timers:
        left = readings.left(timer.path, 0)
        if timer in focus.cone and left != timer.start:
            yield Event(0, Kind.START, f"at first {timer.path} shows {clock.span(left)}")


def _standing(net: Net, value: int) -> str:
    match net.shape:
        case Flag():
            return "is live" if value else "is dead"
        case Number():
            return f"is at {value}"
        case Choice(options):
            return f"stands at {options[value]}"
        case _:
            assert_never(net.shape)


def _follows(graph: Graph, hand: Net, part: Part) -> bool:
    return any(graph.answers_at_once(hand, out) for out in part.ports_out)


def _changes_then(readings: Readings, part: Part, tick: int) -> bool:
    return any((tick, 0) in readings.changes[out.path] for out in part.ports_out)


def _changes(readings: Readings, net: Net) -> Iterator[tuple[int, int]]:
    """Yield tick and value of each change; before tick 0 nobody acts."""
    shape = net.shape
    before = shape.low if isinstance(shape, Number) else 0
    for tick, value in readings.changes[net.path]:
        if value != before:
            yield tick, value
        before = value


def _words(free: Free, name: str, value: int, *, held: bool) -> str:
    shape = free.net.shape
    match shape:
        case Flag():
            if not held:
                return f"someone moves {name}" if value else ""
            return f"someone presses {name}" if value else f"{name} is let go"
        case Number():
            return f"someone sets {name} to {value}"
        case Choice(options):
            return f"someone sets {name} to {options[value]}" if value else f"{name} is let go"
        case _:
            assert_never(shape)
