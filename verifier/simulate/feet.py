"""How to see a walker set out in a run: by its place from one tick to the next."""

from collections.abc import Sequence
from dataclasses import dataclass

from verifier.design.model import Walker
from verifier.system.expr import Op
from verifier.system.model import Cone, System


@dataclass(frozen=True, slots=True)
class Feet:
    """How to see a walker set out: its choice, and where it stands, in registers by index."""

    walker: Walker
    choice: int
    places: tuple[int, ...]

    def room(self, registers: Sequence[bool]) -> int:
        """Return the room in which the walker is, or to which it is on its way."""
        return self.walker.ends[self._place(registers)]

    def sets_out(self, before: Sequence[bool], after: Sequence[bool]) -> bool:
        """Say whether it set out from one tick to the next; to arrive is no setting out."""
        place = self._place(after)
        if place == self._place(before):
            return False
        on_its_way = self.walker.ends[place] != place
        return on_its_way or self.room(before) != self.room(after)

    def _place(self, registers: Sequence[bool]) -> int:
        live = [registers[index] for index in self.places]
        return live.index(True) + 1 if True in live else 0


def feet_of(system: System) -> dict[int, Feet]:
    """Return all walkers by the index of their choice."""
    index = {choice.name: number for number, choice in enumerate(system.choices)}
    found = {}
    for walker in system.design.walkers:
        nodes = system.shown[walker.place.path].nodes[1:]
        places = tuple(node.data[0] for node in nodes if node.op is Op.REGISTER)
        choice = index[walker.exits.path]
        found[choice] = Feet(walker, choice, places)
    return found


def spread(part: Cone, registers: Sequence[bool]) -> list[bool]:
    """Return the registers of a cone in their places in the whole system; all others are dead."""
    whole = [False] * len(part.system.registers)
    for index, live in zip(part.registers, registers, strict=True):
        whole[index] = live
    return whole
