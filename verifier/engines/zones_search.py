"""Forward exploration of a frame: which keys can be met, and clocks where in them.

For each key a few matrices are kept; what comes in beyond that is joined with the matrix nearest to
it. With one matrix a key this is the convex hull of all that is met there. Joining only ever adds
states, so what is not met holds for the system; what is met may be an artefact of joining.

The set found is closed under single ticks: each matrix kept has been taken through all effects of
its key. Joining and giving up bounds: P. Cousot and R. Cousot, "Abstract interpretation", POPL
1977.
"""

from collections import defaultdict, deque
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice, product

from verifier.engines.contract import Budget
from verifier.engines.matrix import Matrix, boxed, closed, covers, joined
from verifier.engines.zones_frame import Frame
from verifier.engines.zones_post import Layout, Move
from verifier.engines.zones_split import Effect, Spent, Splitter, narrowed
from verifier.verdict.evidence import Stopped, Why

# Nominal seconds, measured on one core of a usual machine.
PER_NODE = 5e-6
PER_START = 150e-6
PER_MOVE = 30e-6
PER_MATRIX = 30e-6  # for each, and
PER_BOUND = 0.2e-6  # for each of its entries


@dataclass(frozen=True, slots=True)
class Setting:
    """How finely to look. `zones`: matrices a key, None for as many as there are.

    `patience`: how often the bounds of a key may grow before those that still grow are given up,
    None for ever. `loose`: a tick that leads into a part of the key it came from counts as
    a way back to it.
    """

    zones: int | None
    patience: int | None
    loose: bool


@dataclass(frozen=True, slots=True)
class Met:
    """The target can be met in this model: the effects that lead there, the last one meets it."""

    way: tuple[tuple[int, Effect], ...]


@dataclass(frozen=True, slots=True)
class Covered:
    """No run of the model meets the target: all keys there are, with their matrices."""

    keys: dict[int, list[Matrix]]


@dataclass(slots=True, eq=False)
class _Cell:
    """What is known of a key. `waiting`: matrices not yet taken through the effects.

    `given_up`: entries of the (one) matrix that say no more than the key; `grown`: joins so far.
    """

    layout: Layout
    came: tuple[int, Effect] | None
    zones: list[Matrix] = field(default_factory=list)
    waiting: list[Matrix] = field(default_factory=list)
    effects: list[Effect] | None = None
    given_up: set[int] = field(default_factory=set)
    grown: int = 0

    def widest(self, place: int) -> int:
        """Return what the key alone says of an entry."""
        row, column = divmod(place, self.layout.size)
        return 0 if row == column else self.layout.ceilings[row] - self.layout.floors[column]


class Search:
    """One exploration."""

    def __init__(self, frame: Frame, setting: Setting, budget: Budget) -> None:
        """Start with nothing."""
        self._frame = frame
        self._setting = setting
        self._budget = budget
        self._splitter = Splitter(frame, budget)
        self._moves: dict[tuple[int, object], Move] = {}
        self._cells: dict[int, _Cell] = {}
        self._wide: dict[int, list[int]] = defaultdict(list)
        self._queue: deque[int] = deque()
        self._registers = sum(bit.both for bit in frame.bits)

    def run(self, *, anywhere: bool, most: int) -> Met | Covered | Stopped:
        """Explore from the start states; give up at more than `most` keys."""
        try:
            self._budget.use(self._frame.size * PER_NODE)
            for key, matrix in starts(self._frame, self._budget, anywhere=anywhere):
                self._budget.use(PER_START)
                self._check(most)
                self._add(key, matrix, None)
            while self._queue:
                met = self._expand(self._queue.popleft(), most)
                if met is not None:
                    return met
        except Spent as spent:
            words = f"{len(self._cells)} cells, {len(self._queue)} still to look at"
            return Stopped(spent.why, words)
        return Covered({key: cell.zones for key, cell in self._cells.items()})

    def _expand(self, key: int, most: int) -> Met | None:
        self._check(most)
        cell = self._cells[key]
        if cell.effects is None:
            met = self._split(key)
            if met is not None:
                return met
        waiting, cell.waiting = cell.waiting, []
        for effect in cell.effects or ():
            for matrix in waiting:
                self._follow(key, effect, matrix)
        return None

    def _follow(self, key: int, effect: Effect, matrix: Matrix) -> None:
        """Add what an effect of a key leads to."""
        registers, regions = key & self._registers, key & ~self._registers
        within = self._setting.loose and not effect.bits & ~registers
        returns = within or effect.bits == registers
        for further, zone in self._move(regions, effect).apply(matrix, returns=returns):
            self._budget.use(PER_MATRIX + len(zone) * PER_BOUND)
            back = returns and further == regions
            self._add(key if back else effect.bits | further, zone, (key, effect))

    def _move(self, regions: int, effect: Effect) -> Move:
        move = self._moves.get((regions, effect.acts))
        if move is None:
            self._budget.use(PER_MOVE)
            move = self._moves[regions, effect.acts] = Move(self._frame, regions, effect.acts)
        return move

    def _check(self, most: int) -> None:
        if len(self._cells) > most:
            raise Spent(Why.SIZE)
        if self._budget.spent():
            raise Spent(Why.TIME)

    def _split(self, key: int) -> Met | None:
        """Work out the effects of a key, and of some that will be asked for next."""
        fresh = [k for k in islice(self._queue, 31) if self._cells[k].effects is None]
        keys = [key, *fresh]
        for one, ways in zip(keys, self._splitter.effects(keys), strict=True):
            hit = next((effect for effect in ways if effect.hit), None)
            if hit is not None:
                return Met(self._way(one, hit))
            self._cells[one].effects = ways
        return None

    def _way(self, key: int, last: Effect) -> tuple[tuple[int, Effect], ...]:
        way = [(key, last)]
        came = self._cells[key].came
        while came is not None:
            way.append(came)
            came = self._cells[came[0]].came
        return tuple(reversed(way))

    def _add(self, key: int, matrix: Matrix, came: tuple[int, Effect] | None) -> None:
        cell = self._cells.get(key)
        if cell is None:
            if self._known(key, matrix):
                return
            cell = self._cells[key] = _Cell(Layout.of(self._frame, key), came)
            if self._is_wide(key):
                self._wide[key & ~self._registers].append(key)
        elif any(covers(zone, matrix) for zone in cell.zones):
            return
        matrix = self._fitted(cell, matrix)
        cell.zones = [*(zone for zone in cell.zones if not covers(matrix, zone)), matrix]
        if not cell.waiting:
            self._queue.append(key)
        cell.waiting = [*(zone for zone in cell.waiting if not covers(matrix, zone)), matrix]

    def _is_wide(self, key: int) -> bool:
        return any(key & bit.both == bit.both for bit in self._frame.bits)

    def _known(self, key: int, matrix: Matrix) -> bool:
        """Whether a key that leaves more registers open has it all."""
        return any(
            key & ~wide == 0 and any(covers(zone, matrix) for zone in self._cells[wide].zones)
            for wide in self._wide.get(key & ~self._registers, ())
        )

    def _fitted(self, cell: _Cell, matrix: Matrix) -> Matrix:
        """Join with the nearest matrix where there are enough of them already."""
        most = self._setting.zones
        if most is None or len(cell.zones) < most:
            return matrix
        nearest = min((joined(zone, matrix) for zone in cell.zones), key=sum)
        patience = self._setting.patience
        cell.grown += 1
        if patience is None or cell.grown <= patience or most > 1:
            return nearest
        [old] = cell.zones
        cell.given_up |= {n for n, (a, b) in enumerate(zip(old, nearest, strict=True)) if a < b}
        for place in cell.given_up:
            nearest[place] = cell.widest(place)
        return closed(nearest, cell.layout.size) or nearest


def starts(frame: Frame, budget: Budget, *, anywhere: bool) -> Iterator[tuple[int, Matrix]]:
    """Yield the keys and matrices that runs start in."""
    registers = 0
    for bit in frame.bits:
        register = frame.system.registers[bit.index]
        free = anywhere and register.kept
        registers |= bit.both if free else (2 if register.start else 1) << bit.place
    spans: list[tuple[int, int]] = []
    for dial in frame.dials:
        clock = frame.system.clocks[dial.index]
        free = anywhere and clock.kept
        spans.append((0, clock.longest) if free else (clock.start, clock.start))
    parts = [dial.parts(*span) for dial, span in zip(frame.dials, spans, strict=True)]
    for regions in product(*parts):
        key = registers
        for dial, (region, _, _) in zip(frame.dials, regions, strict=True):
            key |= 1 << (dial.place + region)
        matrix = boxed([(low, high) for region, low, high in regions if region])
        for inside in narrowed(frame, key, budget) if anywhere else [key]:
            yield inside, matrix
