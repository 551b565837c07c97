"""A row of ticks in the solver, and what stays true along it: induction over k ticks.

A `Row` is some states joined by allowed ticks. It holds a set of conditions against them and drops
those that can break, until the rest keeps itself: the largest set of them that does (C. Flanagan,
K. R. M. Leino, "Houdini, an annotation assistant for ESC/Java", FME 2001). Over more ticks than one
this is k-induction (M. Sheeran, S. Singh, G. Stalmarck, "Checking safety properties using induction
and a SAT-solver", FMCAD 2000).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from verifier.logic.native import Model, Result, Room, Term
from verifier.logic.tick import Tick, row, values
from verifier.system.expr import Node
from verifier.system.model import Cone

Ask = Callable[[Room, Sequence[Term]], Result]


class OutOfBudgetError(Exception):
    """The solver did not come to an end within what it may spend."""


def following(room: Room, part: Cone, at: Tick) -> Tick:
    """Return the tick after an allowed one, each part of its state an unknown with a name.

    Conditions over names are looked up in a model far faster than over what names stand for.
    """
    after = row(room, part, at, 2)[-1]
    registers = {index: room.flag() for index in after.registers}
    clocks = {index: room.whole() for index in after.clocks}
    for index, flag in registers.items():
        room.claim(room.not_(room.differ(flag, after.registers[index])))
    for index, whole in clocks.items():
        room.claim(room.equal(whole, after.clocks[index]))
    return replace(after, registers=registers, clocks=clocks)


@dataclass(frozen=True, slots=True)
class Watched:
    """A condition along a row; `last` is its truth in the last state.

    `kept` claims it in all states before that, `broken` that it fails there.
    """

    node: Node
    kept: Term
    broken: Term
    last: Term


@dataclass(slots=True, eq=False)
class Row:
    """Some ticks in a row from a first one, and conditions that are watched along it.

    Queries ask `ask`, which bounds them; they raise OutOfBudgetError where it gives up.
    """

    room: Room
    cone: Cone
    states: list[Tick]
    ask: Ask
    watched: dict[int, Watched] = field(default_factory=dict)
    """Those still in play, by number of the node."""

    @classmethod
    def of(cls, room: Room, part: Cone, first: Tick, ticks: int, ask: Ask) -> "Row":
        """Return the row of so many allowed ticks, and the state after them."""
        states = [first]
        for _ in range(ticks):
            states.append(following(room, part, states[-1]))
        return cls(room, part, states, ask)

    def settle(self, nodes: Sequence[Node]) -> None:
        """Watch conditions over registers and clocks; drop those that the others do not keep."""
        asked = self._watch(nodes)
        while self.watched:
            given = [asked, *(one.kept for one in self.watched.values())]
            if self._excluded(given):
                return
            self._drop(self.room.model())

    def _watch(self, nodes: Sequence[Node]) -> Term:
        """Take up conditions; return what a query claims that wants one of them broken."""
        room = self.room
        earlier = [values(room, state, nodes) for state in self.states[:-1]]
        last = values(room, self.states[-1], nodes)
        for place, node in enumerate(nodes):
            kept, broken = room.flag(), room.flag()
            for terms in earlier:
                room.claim(room.implies(kept, terms[place]))
            room.claim(room.implies(broken, room.not_(last[place])))
            self.watched[node.number] = Watched(node, kept, broken, last[place])
        asked = room.flag()
        room.claim(room.implies(asked, room.or_(one.broken for one in self.watched.values())))
        return asked

    def _drop(self, model: Model) -> None:
        """Drop all conditions that do not hold in the last state of a model."""
        for one in list(self.watched.values()):
            if not model.flag(one.last):
                del self.watched[one.node.number]
                self.room.claim(self.room.not_(one.broken))

    def keepers(self, node: Node) -> list[Node] | None:
        """Return which watched conditions keep this one, itself among them; None if none do."""
        room = self.room
        held = [values(room, state, [node])[0] for state in self.states[:-1]]
        broken = room.not_(values(room, self.states[-1], [node])[0])
        return self._needed([*held, broken])

    def excluders(self, target: Node) -> list[Node] | None:
        """Return which watched conditions exclude the target at the first tick; None if none do."""
        return self._needed(values(self.room, self.states[0], [target]))

    def _needed(self, given: Sequence[Term]) -> list[Node] | None:
        kept = [one.kept for one in self.watched.values()]
        if not self._excluded([*given, *kept]):
            return None
        core = set(self.room.core())
        return [one.node for one in self.watched.values() if one.kept in core]

    def _excluded(self, given: Sequence[Term]) -> bool:
        result = self.ask(self.room, given)
        if result is Result.UNKNOWN:
            raise OutOfBudgetError
        return result is Result.UNSAT
