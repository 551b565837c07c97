"""What kept values can be at all: where questions asked from anywhere start."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from verifier.design import model as design
from verifier.system.expr import Node, Pool
from verifier.system.model import Clock
from verifier.system.terms import Known, Lowering


@dataclass(slots=True)
class Bounds:
    """Registers that belong together: numbers bit by bit, choices option by option."""

    thermometers: list[Sequence[Node]] = field(default_factory=list)
    choices: list[Sequence[Node]] = field(default_factory=list)
    walkers: list[Node] = field(default_factory=list)


def domain_of(pool: Pool, clocks: Sequence[Clock], bounds: Bounds) -> Node:
    """Return: numbers are thermometers, choices stand at one option, clocks within bounds."""
    clauses: list[Node] = [
        _implies(pool, higher, lower)
        for bits in bounds.thermometers
        for lower, higher in pairwise(bits)
    ]
    clauses.extend(clause for bits in bounds.choices for clause in _at_most_one(pool, bits))
    clauses.extend(
        pool.not_(pool.above(index, clock.longest))
        for index, clock in enumerate(clocks)
        if clock.kept
    )
    return pool.and_(*clauses, *bounds.walkers)


def _implies(pool: Pool, one: Node, other: Node) -> Node:
    return pool.or_(pool.not_(one), other)


def _at_most_one(pool: Pool, bits: Sequence[Node]) -> Iterable[Node]:
    for place, one in enumerate(bits):
        for other in bits[place + 1 :]:
            yield pool.not_(pool.and_(one, other))


def walker_bounds(at: Lowering, known: Known, walker: design.Walker, kept: design.Kept) -> Node:
    """Return: the walker's timer shows what it can show in the place where the walker is.

    In a room it shows nothing. In a passage it shows no less than the least that setting out into
    this passage loads, and no more than the most.
    """
    pool = at.draft.pool
    places = known.bits[walker.place].nodes
    clock = known.clocks[walker.timer]
    entered = [(at.condition(case.condition), case.value) for case in kept.cases]
    clauses = []
    for place, end in enumerate(walker.ends):
        least, most = (0, 0) if place == end else _spans(at, walker, entered, place)
        fits = pool.and_(pool.above(clock, min(least, 1) - 1), pool.not_(pool.above(clock, most)))
        clauses.append(_implies(pool, places[place], fits))
    return pool.and_(*clauses)


def _spans(
    at: Lowering,
    walker: design.Walker,
    entered: Sequence[tuple[Node, design.Term]],
    place: int,
) -> tuple[int, int]:
    """Return the least and the most that the timer is loaded with on the way into a passage.

    A load belongs to the passage that is entered under the same condition; one that belongs to none
    is counted for all.
    """
    spans = []
    for load in walker.timer.loads:
        when = at.condition(load.condition)
        targets = [value for condition, value in entered if condition is when]
        if not targets or design.Option(place) in targets:
            spans.append((load.low, load.high))
    return min((low for low, _ in spans), default=0), max((high for _, high in spans), default=0)
