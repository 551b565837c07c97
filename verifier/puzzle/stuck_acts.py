"""What people do, or leave undone, in the tick in which a goal is lost."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum

from verifier.puzzle.moves import Feet, Move, feet_of
from verifier.puzzle.space import Edge
from verifier.puzzle.stuck_space import Explored
from verifier.verdict.trace import Trace


class Loss(Enum):
    """How the goal is lost in a tick."""

    ACT = "act"  # by what was done: with nobody acting it could still be reached
    IDLE = "idle"  # by nobody acting in time
    LUCK = "luck"  # by the spans that were drawn: others would have left it in reach


@dataclass(frozen=True, slots=True)
class Mistake:
    """A way to lose the goal; the moves are all made in one tick, which is the last of the run."""

    loss: Loss
    moves: tuple[Move, ...]
    trace: Trace


Key = tuple[Loss, tuple[Move, ...]]


def mistakes_of(explored: Explored) -> tuple[Mistake, ...]:
    """Return each different way to lose the goal by its soonest run, the soonest first.

    An act that a smaller one is part of, and that loses the goal too, is not told by itself.
    """
    soonest: dict[Key, tuple[int, int, Edge]] = {}
    reader = _Reader(explored, feet_of(explored.space.system))
    for number in explored.live - explored.stuck:
        for key, edge in reader.losses(number):
            at = (explored.paths.ticks[number], number, edge)
            if key not in soonest or at < soonest[key]:
                soonest[key] = at
    acts = [set(moves) for loss, moves in soonest if loss is Loss.ACT]
    found = [
        (at[0], loss, moves, at)
        for (loss, moves), at in soonest.items()
        if loss is not Loss.ACT or not any(one < set(moves) for one in acts)
    ]
    found.sort(key=lambda one: (one[0], one[1].value, len(one[2]), one[2]))
    return tuple(
        Mistake(loss, moves, explored.space.trace_of([*explored.paths.way_to(at[1]), at[2]]))
        for _, loss, moves, at in found
    )


@dataclass(frozen=True, slots=True)
class _Reader:
    explored: Explored
    feet: dict[int, Feet]

    def losses(self, number: int) -> Iterator[tuple[Key, Edge]]:
        """Yield the ways on from a state by which the goal is lost."""
        live, stuck = self.explored.live, self.explored.stuck
        edges = [edge for edge in self.explored.space.edges(number) if edge.to in live]
        lost = [edge for edge in edges if edge.to in stuck]
        saved = {edge.row for edge in edges if edge.to not in stuck}
        resting = [edge.row for edge in edges if not any(self.explored.space.rows[edge.row])]
        idle = bool(resting) and not saved & set(resting)
        for edge in lost:
            if edge.row in saved:
                yield (Loss.LUCK, self._moves(number, edge)), edge
            elif edge.row in resting:
                yield (Loss.IDLE, ()), edge
            elif not idle:
                yield (Loss.ACT, self._moves(number, edge)), edge

    def _moves(self, number: int, edge: Edge) -> tuple[Move, ...]:
        space = self.explored.space
        before, after = space.state(number).registers, space.state(edge.to).registers
        row = space.spread(space.rows[edge.row])
        return tuple(
            Move(choice, self._to(choice, option, before, after))
            for choice, option in enumerate(row)
            if option
        )

    def _to(self, choice: int, option: int, before: Sequence[bool], after: Sequence[bool]) -> int:
        feet = self.feet.get(choice)
        if feet is None:
            return option
        return feet.room(after if feet.sets_out(before, after) else before)
