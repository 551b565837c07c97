"""What people do, or leave undone, in the tick in which a goal is lost."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import Enum

from verifier.puzzle.moves import Move
from verifier.puzzle.space import Edge
from verifier.puzzle.stuck_space import Explored
from verifier.simulate.feet import Feet, feet_of
from verifier.simulate.machine import Position
from verifier.verdict.trace import Trace


class Loss(Enum):
    """How the goal is lost in a tick."""

    ACT = "act"  # by what was done: with nobody acting it could still be reached
    IDLE = "idle"  # by nobody acting in time
    LUCK = "luck"  # by the spans that were drawn: others would have left it in reach


@dataclass(frozen=True, slots=True)
class Mistake:
    """A way to lose the goal; the moves are all made in one tick, which is the last of the run.

    `afterwards`: it comes only in runs that have reached the goal before.
    """

    loss: Loss
    moves: tuple[Move, ...]
    trace: Trace
    afterwards: bool


Key = tuple[Loss, tuple[Move, ...]]
Moment = tuple[bool, int, int, Edge]  # whether only afterwards, tick, state, what is done there


def mistakes_of(explored: Explored) -> tuple[Mistake, ...]:
    """Return each different way to lose the goal by its soonest run, the soonest first.

    Those before the goal was ever reached come first.
    """
    soonest: dict[Key, Moment] = {}
    reader = _Reader(explored, feet_of(explored.space.system))
    for number in sorted(explored.live - explored.stuck):
        for key, edge in reader.losses(number):
            moment = (*explored.soonest(number, edge), number, edge)
            if key not in soonest or moment < soonest[key]:
                soonest[key] = moment
    ordered = sorted(soonest.items(), key=lambda one: (*one[1][:2], one[0][0].value, one[0][1]))
    return tuple(
        Mistake(loss, moves, explored.run(number, edge), afterwards)
        for (loss, moves), (afterwards, _, number, edge) in ordered
    )


@dataclass(slots=True, eq=False)
class _Reader:
    """Tries every way to choose in the states from which one tick may lose the goal.

    A space keeps one choice of those that come to the same; here each is told.
    """

    explored: Explored
    feet: dict[int, Feet]
    numbers: dict[Position, int] = field(init=False)

    def __post_init__(self) -> None:
        space = self.explored.space
        self.numbers = {space.position(number): number for number in range(len(space))}

    def losses(self, number: int) -> Iterator[tuple[Key, Edge]]:
        """Yield the ways on from a state by which the goal is lost.

        An act is left out where a part of it is enough, or where resting loses the goal as well.
        """
        space, stuck = self.explored.space, self.explored.stuck
        if not any(edge.to in stuck for edge in space.edges(number)):
            return
        acts: list[set[Move]] = []
        for row in range(len(space.rows)):
            edges = list(self._edges(number, row))
            lost = [edge for edge in edges if edge.to in stuck]
            if not lost:
                continue
            moves = self._moves(number, lost[0])
            if any(one <= set(moves) for one in acts):
                continue
            acts.append(set(moves))
            if len(lost) < len(edges):
                yield (Loss.LUCK, moves), lost[0]
            else:
                yield (Loss.ACT if moves else Loss.IDLE, moves), lost[0]

    def _edges(self, number: int, row: int) -> Iterator[Edge]:
        """Yield the ways on by one way to choose, each by the spans that are drawn."""
        space = self.explored.space
        at = space.position(number)
        look = space.machine.look(*at, space.rows[row])
        met, allowed = look.seen
        if not allowed:
            return
        for drawn in space.machine.draws(look):
            to = self.numbers.get(space.machine.after(at, look, drawn, 1))
            if to is not None and to in self.explored.live:
                yield Edge(to, 1, 0, row, met, drawn)

    def _moves(self, number: int, edge: Edge) -> tuple[Move, ...]:
        """Return what is done; a walker's wish that comes to nothing is no move."""
        space = self.explored.space
        before, after = space.state(number).registers, space.state(edge.to).registers
        row = space.spread(space.rows[edge.row])
        moves = []
        for choice, option in enumerate(row):
            feet = self.feet.get(choice)
            if option and feet is None:
                moves.append(Move(choice, option))
            elif option and feet is not None and feet.sets_out(before, after):
                moves.append(Move(choice, feet.room(after)))
        return tuple(moves)
