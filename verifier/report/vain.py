"""Presses in vain: nobody is in the room of what is pressed, and nothing comes of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from verifier.design.model import Choice, Design, Net
from verifier.report.events import Event, Kind
from verifier.report.history import Place
from verifier.report.readings import walker_runs
from verifier.report.simulation import Simulation, Wished, as_wished
from verifier.simulate.readings import Readings
from verifier.simulate.told import Act, Held, NoWayError
from verifier.system.model import System

MOST_PLAYED = 4_000
"""So many acts are played again at most to find out which presses one by one are in vain."""


@dataclass(frozen=True, slots=True)
class _Hand:
    """What a press moves: its net, its part, and the room in which one has to be for it."""

    net: Net
    part: str
    room: str


def with_vain(system: System, wished: Wished, found: Simulation) -> Simulation:
    """Return a run as wished with each press in vain told as one.

    It is one if nobody is in its room as long as it lasts, and the run is the same without it.
    Where it differs without all of these, as many as is cheap are looked at one by one.
    """
    hands = _hands(system)
    far = [act for act in wished.acts if _is_far(system.design, hands, act, found.readings)]
    if far and not _same_without(system, hands, wished, far, found):
        alone = far[: MOST_PLAYED // len(wished.acts)]
        far = [act for act in alone if _same_without(system, hands, wished, [act], found)]
    vain = {
        (act.start, hands[act.choice].part): hands[act.choice].room
        for act in far
        if isinstance(act, Held)
    }
    return replace(found, events=tuple(_told(event, vain) for event in found.events))


def _told(event: Event, vain: Mapping[tuple[int, str], str]) -> Event:
    room = vain.get((event.tick, event.about)) if event.kind is Kind.PRESS else None
    words = f"{event.words} in vain: nobody is in {room}"
    return event if room is None else replace(event, words=words)


def _hands(system: System) -> dict[int, _Hand]:
    """Return the hands, by choice, on parts that have a room of the design as an argument."""
    design = system.design
    parts = {part.path: part for part in design.parts}
    index = {choice.name: number for number, choice in enumerate(system.choices)}
    found = {}
    for free in design.free:
        part = parts.get(free.net.part)
        room = None if part is None else dict(part.arguments).get("room")
        if free.is_press and part is not None and room in design.rooms:
            found[index[free.net.path]] = _Hand(free.net, part.path, room)
    return found


def _is_far(design: Design, hands: Mapping[int, _Hand], act: Act, readings: Readings) -> bool:
    """Whether an act is a press of something in whose room nobody is as long as it lasts."""
    if not isinstance(act, Held) or act.choice not in hands or act.start >= readings.length:
        return False
    here = Place(hands[act.choice].room)
    for walker in design.walkers:
        shape = walker.place.shape
        rooms = shape.options if isinstance(shape, Choice) else ()
        for run in walker_runs(readings, walker, rooms):
            if run.state == here and run.start < act.stop and act.start < run.end:
                return False
    return True


def _same_without(
    system: System,
    hands: Mapping[int, _Hand],
    wished: Wished,
    acts: Sequence[Act],
    found: Simulation,
) -> bool:
    """Whether nothing but these hands themselves is otherwise in the run without these acts."""
    gone = set(map(id, acts))
    others = [act for act in wished.acts if id(act) not in gone]
    try:
        without = as_wished(system, replace(wished, acts=others)).readings
    except NoWayError:
        return False
    own = {hands[act.choice].net.path for act in acts if isinstance(act, Held)}
    return _seen(without, own) == _seen(found.readings, own)


def _seen(readings: Readings, but: set[str]) -> tuple[object, ...]:
    changes = {path: seen for path, seen in readings.changes.items() if path not in but}
    return changes, readings.timers
