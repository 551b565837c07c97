"""Rooms, passages and the walkers in them.

A walker is in a room, (room, 0, 0), or on its way out by an exit with some ticks left,
(room it left, number of the exit, ticks left).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tests.oracles.afresh.letters import Node, UnsureError
from tests.oracles.afresh.meaning import Meaning
from tests.oracles.afresh.placing import Site, Thing
from tests.oracles.afresh.values import Amount, Flag, Free, Room, Slot, Span, Value

Place = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class Exit:
    """A way out of a room into another: when it is open, how many ticks it takes."""

    start: int
    end: int
    asked: tuple[Node | None, Site]
    least: int
    most: int


def walked(
    exits: Sequence[Exit], place: Place, choice: int, opened: Sequence[bool]
) -> Sequence[Place]:
    """Return where one can be in the next tick; `choice`: 0 to stay, else which exit to take."""
    room, number, left = place
    if left:
        return [arriving(exits, number, left - 1)]
    ways = [number for number, one in enumerate(exits) if one.start == room]
    if not 0 < choice <= len(ways) or not opened[ways[choice - 1]]:
        return [place]
    way = ways[choice - 1]
    takes = range(exits[way].least, exits[way].most + 1)
    return [arriving(exits, way, ticks - 1) for ticks in takes]


def arriving(exits: Sequence[Exit], number: int, left: int) -> Place:
    """Return the place of one who has some ticks left behind an exit."""
    return (exits[number].start, number, left) if left else (exits[number].end, 0, 0)


class People(Meaning):
    """A design whose walkers have a place in the state and choose their ways."""

    def open_rooms(self) -> None:
        """Give each walker a place and a choice."""
        self.exits = list(self._all_exits())
        rooms = range(len(self.rooms))
        most = max((sum(one.start == room for one in self.exits) for room in rooms), default=0)
        left = [(room, 0, 0) for room in rooms]
        for number, one in enumerate(self.exits):
            left += [(one.start, number, ticks) for ticks in range(1, one.most)]
        self.places: dict[Thing, tuple[int, int]] = {}
        for walker in self.walkers:
            self.places[walker] = len(self.slots), len(self.free)
            self.slots.append(Slot((self.room(walker.node[2], walker.site) or 0, 0, 0), left))
            self.free.append(Free(range(most + 1), presses=False))

    def _all_exits(self) -> Iterable[Exit]:
        for (_, one, other, both, asked, takes), env in self.passages:
            site = Site(self.top, env)
            least, most = (1, 1) if takes is None else self._takes(self.of(takes, site))
            rooms = self.room(one, site), self.room(other, site)
            for start, end in (rooms, rooms[::-1])[: 1 + both]:
                assert start is not None
                assert end is not None
                yield Exit(start, end, (asked, site), least, most)

    def _takes(self, value: Value) -> tuple[int, int]:
        if isinstance(value, Span) and self.whole(value.least) > 0:
            return self.whole(value.least), self.whole(value.most)
        raise UnsureError("a passage that takes no time")

    def steps(self) -> dict[int, str]:
        """Return the code of where each walker can be next."""
        opened = ", ".join(self.condition(*one.asked) for one in self.exits)
        row = f"[{opened}]"
        return {
            place: f"walked(exits, s[{place}], c[{choice}], {row})"
            for place, choice in self.places.values()
        }

    # --- expressions ------------------------------------------------------------------------------

    def people(self, node: Node, site: Site) -> Value:
        """Return what an expression about walkers means."""
        match node:
            case ("in room", who, ref):
                room = self.room(ref, site)
                if room is None:
                    return Flag("True")
                return _any([self._inside(one, room) for one in self._who(who, site)])
            case ("between", who, one, other):
                rooms = {self.room(one, site), self.room(other, site)}
                return _any([self._on_the_way(one, rooms) for one in self._who(who, site)])
            case ("walkers in", ref):
                room = self.room(ref, site)
                assert room is not None
                found = [f"int({self._inside(one, room)})" for one in self.walkers]
                return Amount(f"({' + '.join(found)})") if found else Amount(0)
            case _:
                return super().people(node, site)

    def room(self, ref: Node, site: Site) -> int | None:
        """Return the number of a room, None for anywhere."""
        found = self.of(ref, site)
        if not isinstance(found, Room):
            raise UnsureError("no room")
        return found.number

    def _who(self, who: Node | None, site: Site) -> Sequence[Thing]:
        return self.walkers if who is None else [self.thing(who, site)]

    def _inside(self, walker: Thing, room: int) -> str:
        return f"(s[{self._seat(walker)}] == ({room}, 0, 0))"

    def _on_the_way(self, walker: Thing, rooms: set[int | None]) -> str:
        ways = {number for number, one in enumerate(self.exits) if {one.start, one.end} == rooms}
        place = self._seat(walker)
        return f"(s[{place}][2] > 0 and s[{place}][1] in {tuple(ways)})"

    def _seat(self, walker: Thing) -> int:
        if walker not in self.places:
            raise UnsureError("no walker")
        return self.places[walker][0]


def _any(codes: Sequence[str]) -> Flag:
    return Flag(f"({' or '.join(codes)})") if codes else Flag("False")
