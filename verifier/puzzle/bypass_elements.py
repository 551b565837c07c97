"""What a puzzle is made of, as far as people can do without it: hands, rooms, passages, parts.

Each element has a node that is live in every tick in which it is used:

- a button, a lever, a signal of people's own: somebody lays a hand on it, and stands in its room if
  it has one; of a choice, each option is an element of its own;
- a room: somebody stands in it (rooms in which somebody begins are left out); a plate there is used
  by that and shares its row;
- a passage: somebody sets out through it, in either direction;
- any other part that keeps state, hangs on people, and has a say in the goal: its main output is
  live (of a door: it is ajar); left out if it is so from the start.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import combinations

from verifier.design.model import Choice, Free, Net, Number, Part, Walker
from verifier.puzzle.goal import Goal
from verifier.simulate.machine import machine
from verifier.system.cone import behind, whole
from verifier.system.expr import Node, Op
from verifier.system.fold import evaluate, replaced
from verifier.system.model import Cone, System
from verifier.system.state import start_of
from verifier.verdict.trace import Trace


class Kind(Enum):
    """What sort of element it is."""

    HAND = "hand"
    OPTION = "option"
    ROOM = "room"
    PASSAGE = "passage"
    PART = "part"


@dataclass(frozen=True, slots=True, eq=False)
class Element:
    """One thing that can be used or not; `what` is its kind in the builder's words."""

    kind: Kind
    name: str
    what: str
    used: Node


def elements_of(goal: Goal) -> tuple[Element, ...]:
    """Return the elements of a puzzle, each once, in the order in which a table lists them."""
    system = goal.system
    found = [*_hands(system), *_rooms(system), *_passages(system), *_parts(goal)]
    plates = {
        node: part.path
        for part in system.design.parts
        for node in _main(system, part)
        if not part.inside and not part.kept and not part.timers
    }
    return tuple(_with_plate(one, plates) for one in found if one.used is not system.pool.no)


def _with_plate(element: Element, plates: dict[Node, str]) -> Element:
    plate = plates.get(element.used)
    if element.kind is not Kind.ROOM or plate is None:
        return element
    return Element(element.kind, element.name, f"room with {plate}", element.used)


# --- hands ---------------------------------------------------------------------------------------


def _hands(system: System) -> Iterator[Element]:
    parts = {part.path: part for part in system.design.parts}
    index = {choice.name: number for number, choice in enumerate(system.choices)}
    for free in system.design.free:
        if free.is_press:
            yield from _of_free(system, free, index[free.net.path], parts.get(free.net.part))


def _of_free(system: System, free: Free, index: int, part: Part | None) -> Iterator[Element]:
    pool, path = system.pool, free.net.path
    match free.net.shape:
        case Choice(options):
            names = [f"{path} is {option}" for option in options]
        case Number(low=low):
            names = [f"{path} = {low + step}" for step in range(free.count)]
        case _:
            name, what = (path, "signal") if part is None else (part.path, part.kind)
            used = pool.and_(pool.pick(index, 1), _within_reach(system, part))
            yield Element(Kind.HAND, name, what, used)
            return
    for option in range(1, free.count):
        yield Element(Kind.OPTION, names[option], "choice", pool.pick(index, option))


def _within_reach(system: System, part: Part | None) -> Node:
    """Return: somebody stands in the room of a part, if it has one."""
    room = None if part is None else dict(part.arguments).get("room")
    if room not in system.design.rooms:
        return system.pool.yes
    number = system.design.rooms.index(room)
    walkers = (Walked(system, one) for one in system.design.walkers)
    return system.pool.or_(*(one.stands_in(number) for one in walkers))


# --- rooms and passages --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Walked:
    """A walker in the nodes of a system."""

    system: System
    walker: Walker

    @property
    def places(self) -> tuple[Node, ...]:
        """Return a node for each place: it is the one."""
        return self.system.shown[self.walker.place.path].nodes

    @property
    def start(self) -> int:
        """Return the room at tick 0."""
        kept = {one.net: one.start for one in self.system.design.kept}
        return self.walker.ends[kept[self.walker.place]]

    def stands_in(self, room: int) -> Node:
        """Return: it stands in a room; one that is on its way stands in none."""
        pool = self.system.pool
        timer = self.system.shown[self.walker.timer.path].timer
        way = pool.no if timer is None else pool.above(timer, 0)
        return pool.or_(
            *(
                node if self._is_room(place) else pool.and_(node, pool.not_(way))
                for place, node in enumerate(self.places)
                if self.walker.ends[place] == room
            )
        )

    def sets_out(self, room: int, other: int) -> Node:
        """Return: it stands in a room and leaves it in this tick by a way that ends in another."""
        pool = self.system.pool
        goes = [
            self._next(place)
            for place in range(len(self.places))
            if self.walker.ends[place] == other
            and (self._is_room(place) or self.walker.starts[place] == room)
        ]
        leaves = pool.or_(*goes)
        ways = [way for way, end in enumerate(self.walker.leads[room], start=1) if end == other]
        if all(self._at(room, way, leaves) is pool.no for way in ways):
            return pool.no
        return pool.and_(self.stands_in(room), leaves)

    def _is_room(self, place: int) -> bool:
        return self.walker.ends[place] == place

    def _next(self, place: int) -> Node:
        """Return: the place is the one a tick later."""
        pool, registers = self.system.pool, self.system.registers
        nexts = [registers[node.data[0]].next for node in self.places[1:]]
        return pool.not_(pool.or_(*nexts)) if place == 0 else nexts[place - 1]

    def _at(self, room: int, way: int, node: Node) -> Node:
        """Return what becomes of a node where the walker takes one of the exits of a room."""
        pool = self.system.pool
        names = [choice.name for choice in self.system.choices]
        picks = pool.pick(names.index(self.walker.exits.path), way)

        def leaf(one: Node) -> Node:
            if one in self.places:
                return pool.yes if one is self.places[room] else pool.no
            if one.op is Op.PICK and one.data[0] == picks.data[0]:
                return pool.yes if one is picks else pool.no
            return one

        return replaced(pool, [node], leaf)[node.number]


def _rooms(system: System) -> Iterator[Element]:
    walkers = [Walked(system, one) for one in system.design.walkers]
    begun = {one.start for one in walkers}
    for room, name in enumerate(system.design.rooms):
        if walkers and room not in begun:
            used = system.pool.or_(*(one.stands_in(room) for one in walkers))
            yield Element(Kind.ROOM, name, "room", used)


def _passages(system: System) -> Iterator[Element]:
    walkers = [Walked(system, one) for one in system.design.walkers]
    rooms = system.design.rooms
    for one, other in combinations(range(len(rooms)), 2):
        there = system.pool.or_(*(each.sets_out(one, other) for each in walkers))
        back = system.pool.or_(*(each.sets_out(other, one) for each in walkers))
        used = system.pool.or_(there, back)
        arrow = "<->" if system.pool.no not in (there, back) else "->"
        ends = (other, one) if there is system.pool.no else (one, other)
        yield Element(Kind.PASSAGE, f"{rooms[ends[0]]} {arrow} {rooms[ends[1]]}", "passage", used)


# --- other parts ---------------------------------------------------------------------------------


def _parts(goal: Goal) -> Iterator[Element]:
    system = goal.system
    part_of = behind(system, [goal.node])
    hands = {free.net.part for free in system.design.free}
    for part in system.design.parts:
        if part.inside or part.path in hands or not _has_a_say(system, part_of, part):
            continue
        for used in _main(system, part)[:1]:
            if behind(system, [used]).choices and not _live_at_first(system, used):
                yield Element(Kind.PART, part.path, part.kind, used)


def _has_a_say(system: System, part_of: Cone, part: Part) -> bool:
    """Whether some state of a part is among what a goal depends on."""
    kept = [node for net in part.kept for node in system.shown[net.path].nodes]
    registers = {node.data[0] for node in kept if node.op is Op.REGISTER}
    clocks = {system.shown[timer.path].timer for timer in part.timers}
    return bool(registers & set(part_of.registers) or clocks & set(part_of.clocks))


def _main(system: System, part: Part) -> Sequence[Node]:
    """Return what is live while a part is at work: its main output, of a door that it is ajar."""
    ajar = [net for net in (*part.ports_out, *part.lets) if net.path == f"{part.path}.ajar"]
    nets: Iterable[Net] = ajar or part.ports_out[:1]
    return [nodes[0] for net in nets if (nodes := system.shown[net.path].nodes)]


def _live_at_first(system: System, node: Node) -> bool:
    start = start_of(system)
    rest = (0,) * len(system.choices)
    return evaluate([node], rest, start.registers, start.clocks)[node.number]


# --- runs -----------------------------------------------------------------------------------------


def first_uses(system: System, elements: Sequence[Element], trace: Trace) -> dict[Element, int]:
    """Return the first tick at which each element is used in a run from the start values."""
    nodes = tuple(dict.fromkeys(element.used for element in elements))
    follower = machine(whole(system, nodes), nodes)
    at, tick = follower.start(), 0
    seen: dict[int, int] = {}
    for step in trace.steps:
        left = step.ticks
        while left:
            look = follower.look(*at, step.choices)
            for number, live in enumerate(look.seen):
                if live:
                    seen.setdefault(number, tick)
            draws = follower.fitted(look, step.draws)
            ticks = min(left, follower.longest_jump(at, look, draws) or left)
            at = follower.after(at, look, draws, ticks)
            left, tick = left - ticks, tick + ticks
    places = {node: number for number, node in enumerate(nodes)}
    return {one: seen[places[one.used]] for one in elements if places[one.used] in seen}
