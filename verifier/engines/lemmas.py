"""Conditions that may always hold, as they do in all sampled states: near the target first.

Each is a node over registers and clocks. They are guesses, cheap to make and cheap to refute; those
that induction keeps are lemmas. Their shapes: a fact; of two facts one always holds (so one follows
from the other, or they exclude each other); how far a clock stands while a fact holds; how far two
clocks stand apart, always or while a fact holds, and while they run.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import chain, permutations, zip_longest

from verifier.engines.zones_keep import Order, Source
from verifier.simulate.machine import Position, thresholds_of
from verifier.system.expr import Node, Op, Pool
from verifier.system.model import Cone


@dataclass(frozen=True, slots=True)
class Fact:
    """A node and in which samples it holds, a bit for each; `clock` is the one it speaks of."""

    node: Node
    held: int
    clock: int = -1


@dataclass(frozen=True, slots=True)
class Ladder:
    """The values of something over samples, largest first, each with the samples it stood in."""

    rungs: tuple[tuple[int, int], ...]

    @classmethod
    def of(cls, values: Sequence[int]) -> "Ladder":
        """Gather values given sample by sample."""
        found: dict[int, int] = {}
        for row, value in enumerate(values):
            found[value] = found.get(value, 0) | 1 << row
        return cls(tuple(sorted(found.items(), reverse=True)))

    def largest(self, held: int) -> int:
        """Return the largest value in some samples (one at least)."""
        return next(value for value, rows in self.rungs if rows & held)

    def least(self, held: int, above: int = -1) -> int | None:
        """Return the least value in some samples that is more than `above`."""
        found = (value for value, rows in reversed(self.rungs) if rows & held and value > above)
        return next(found, None)

    def over(self, bound: int) -> int:
        """Return the samples in which the value is more than a bound."""
        return sum(rows for value, rows in self.rungs if value > bound)


@dataclass(slots=True, eq=False)
class Samples:
    """States of a cone by column, and what can be guessed from them."""

    cone: Cone
    target: Node
    states: Sequence[Position]
    all: int = field(init=False)
    clocks: dict[int, Ladder] = field(init=False)
    values: dict[int, tuple[int, ...]] = field(init=False)
    near: Mapping[Source, int] = field(init=False)
    _apart: dict[tuple[int, int], Ladder] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Turn states into columns; the clocks next to the target come first."""
        self.all = (1 << len(self.states)) - 1
        self.near = Order.of(self.cone, self.target).near
        places = {index: place for place, index in enumerate(self.cone.clocks)}
        nearest = sorted(places, key=lambda index: self._depth((Op.ABOVE, index)))
        self.values = {
            index: tuple(clocks[places[index]] for _, clocks in self.states) for index in nearest
        }
        self.clocks = {index: Ladder.of(column) for index, column in self.values.items()}

    @property
    def _pool(self) -> Pool:
        return self.cone.system.pool

    def _depth(self, source: Source) -> int:
        return self.near.get(source, len(self.near))

    def guesses(self) -> Iterator[Node]:
        """Yield conditions that hold in all samples, the most likely first."""
        pool = self._pool
        facts = self._facts()
        yield from (fact.node for fact in facts if fact.held == self.all)
        always = Fact(pool.yes, self.all)
        yield from self._stands(always)
        yield from self._gaps(always)
        alike = _alike(fact for fact in facts if 0 < fact.held < self.all)
        firsts = [same[0] for same in alike]
        pairs = chain(self._same(alike), self._pairs(firsts))
        stands = chain.from_iterable(map(self._stands, firsts))
        gaps = chain.from_iterable(map(self._gaps, firsts))
        for row in zip_longest(pairs, pairs, stands, gaps):  # two pairs a turn: they need most room
            yield from (node for node in row if node is not None)

    def _same(self, alike: Iterable[Sequence[Fact]]) -> Iterator[Node]:
        """Yield what says that facts always hold together."""
        pool = self._pool
        for one, *others in alike:
            for other in others:
                yield pool.or_(one.node, pool.not_(other.node))
                yield pool.or_(pool.not_(one.node), other.node)

    def _facts(self) -> list[Fact]:
        """Return what samples are told apart by, each with its opposite, nearest first."""
        pool, part = self._pool, self.cone
        found: list[tuple[int, Fact]] = []
        for place, index in enumerate(part.registers):
            held = sum(1 << row for row, (bits, _) in enumerate(self.states) if bits[place])
            found.append((self._depth((Op.REGISTER, index)), Fact(pool.register(index), held)))
        for index, bounds in zip(part.clocks, thresholds_of(part, (self.target,)), strict=True):
            depth = self._depth((Op.ABOVE, index))
            for bound in sorted({0, *bounds}):
                held = self.clocks[index].over(bound)
                found.append((depth, Fact(pool.above(index, bound), held, index)))
        found.sort(key=lambda pair: pair[0])
        both = ((fact, self._opposite(fact)) for _, fact in found)
        return list(chain.from_iterable(both))

    def _opposite(self, fact: Fact) -> Fact:
        return Fact(self._pool.not_(fact.node), self.all & ~fact.held, fact.clock)

    def _pairs(self, facts: Sequence[Fact]) -> Iterator[Node]:
        """Yield what says that one of two facts always holds."""
        for place, one in enumerate(facts):
            for other in facts[:place]:
                same = one.clock == other.clock != -1
                if one.held | other.held == self.all and one.held & other.held and not same:
                    yield self._pool.or_(one.node, other.node)

    def _stands(self, fact: Fact) -> Iterator[Node]:
        """Yield how far each clock stands while a fact holds, where that says something."""
        pool, unless = self._pool, self._pool.not_(fact.node)
        for index, ladder in self.clocks.items():
            high, low = ladder.largest(fact.held), ladder.least(fact.held) or 0
            usual = ladder.largest(self.all)
            if fact.held == self.all:
                usual = self.cone.system.clocks[index].longest
            if index != fact.clock and high < usual:
                yield pool.or_(unless, pool.not_(pool.above(index, high)))
            if index != fact.clock and low > 0:
                yield pool.or_(unless, pool.above(index, low - 1))
            least = ladder.least(fact.held, above=0)
            if low == 0 and least is not None and least > 1:
                runs = pool.above(index, 0)
                yield pool.or_(unless, pool.not_(runs), pool.above(index, least - 1))

    def _gaps(self, fact: Fact) -> Iterator[Node]:
        """Yield how far clocks stand apart while a fact holds, where that says something."""
        pool, unless = self._pool, self._pool.not_(fact.node)
        for one, other in permutations(self.clocks, 2):
            ladder = self._apart_by(one, other)
            first, second = self.clocks[one].over(0), self.clocks[other].over(0)
            stops, rests = pool.not_(pool.above(one, 0)), pool.not_(pool.above(other, 0))
            known = self.cone.system.clocks[one].longest
            for held, but in (
                (self.all, unless),
                (second, pool.or_(unless, rests)),
                (first & second, pool.or_(unless, rests, stops)),
            ):
                if not fact.held & held:
                    break
                high = ladder.largest(fact.held & held)
                general = fact.held == self.all or high < ladder.largest(held)
                if general and high < known:
                    known = high
                    yield pool.or_(but, pool.gap(one, other, high))

    def _apart_by(self, one: int, other: int) -> Ladder:
        ladder = self._apart.get((one, other))
        if ladder is None:
            pairs = zip(self.values[one], self.values[other], strict=True)
            ladder = self._apart[one, other] = Ladder.of([a - b for a, b in pairs])
        return ladder


def _alike(facts: Iterable[Fact]) -> list[list[Fact]]:
    """Return facts that held in the same samples together."""
    found: dict[int, list[Fact]] = {}
    for fact in facts:
        found.setdefault(fact.held, []).append(fact)
    return list(found.values())
