"""All settings at which a run of one shape still meets its target, from a single such run.

With the shape of a run (`regions_shape`) and each number of ticks as a sum of dials
(`dials_frame`), every fact becomes an inequality over dials, delays and drawn spans; the last two
are taken out (`regions_rows`). What is left is a region of settings. Nothing trusts it: at any
setting of it a run can be made and replayed, and that is done at some before it is used.
"""

import random
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from itertools import product

from verifier.simulate.onward import completed
from verifier.system.expr import Node, Op
from verifier.system.fold import replaced
from verifier.system.model import System
from verifier.system.program import RefusedStepError
from verifier.system.state import start_of
from verifier.tuning.dials import Setting
from verifier.tuning.dials_frame import Frame, Moving
from verifier.tuning.regions_rows import (
    ONE,
    Linear,
    Rest,
    Row,
    Symbol,
    found_again,
    plus,
    row,
    value,
    without,
)
from verifier.tuning.regions_shape import Above, Jump, NoShapeError, Shape, shape
from verifier.verdict.replay import replay, simulator
from verifier.verdict.trace import Step, Trace

SAMPLES = 3
"""So many settings of a region, drawn at random, are looked at besides its corners."""

CORNERS = 4
"""So many corners at most."""


@dataclass(frozen=True, slots=True, eq=False)
class Region:
    """Settings in a box that meet all `rows`; `moving` says what symbols beside dials stand for.

    `at` is where the run was found. Without a recipe the region is that one setting.
    """

    low: Setting
    high: Setting
    rows: tuple[Row, ...]
    moving: Mapping[Symbol, Moving]
    at: Setting
    recipe: "Recipe | None" = None

    def holds(self, at: Setting) -> bool:
        """Whether a setting is in the region."""
        sides = zip(self.low, at, self.high, strict=True)
        if not all(low <= one <= high for low, one, high in sides):
            return False
        known = self.known(at)
        return all(value(one, known) >= 0 for one in self.rows)

    def known(self, at: Setting) -> dict[Symbol, int]:
        """Return what each symbol of the rows is at a setting."""
        known: dict[Symbol, int] = dict(enumerate(at))
        known.update({symbol: one.at(at) for symbol, one in self.moving.items()})
        return known

    def run(self, system: System, target: Node, at: Setting) -> Trace | None:
        """Return a run of this shape at a setting, whose system is given; replayed, or None."""
        if self.recipe is None:
            return None
        trace = self.recipe.trace(self.known(at), len(system.clocks))
        return None if trace is None else met(system, target, trace)


@dataclass(frozen=True, slots=True, eq=False)
class Recipe:
    """How to make a run of a shape again: its delays and draws, found back from the rows."""

    shape: Shape
    rest: Rest
    delays: tuple[Symbol | None, ...]
    draws: tuple[Mapping[int, Symbol], ...]
    wished: Mapping[Symbol, int]

    def trace(self, known: Mapping[Symbol, int], clocks: int) -> Trace | None:
        """Return the run, in steps that nobody has replayed yet."""
        values = found_again(self.rest.taken, known, self.wished)
        if values is None:
            return None
        steps = []
        for jump, delay, drawn in zip(self.shape.jumps, self.delays, self.draws, strict=True):
            draws = [0] * clocks
            for clock, symbol in drawn.items():
                draws[clock] = values[symbol]
            ticks = 1 if delay is None else values[delay]
            steps.append(Step(jump.choices, tuple(draws), max(1, ticks)))
        steps.append(Step(self.shape.choices, (0,) * clocks, 1))
        return Trace(tuple(steps))


def met(system: System, target: Node, trace: Trace) -> Trace | None:
    """Return a run up to where it first meets a target, replayed; None where it does not."""
    forbidden = system.pool.not_(system.allowed)
    run = simulator(system, (forbidden, target))
    steps: list[Step] = []
    try:
        whole = completed(system, trace)
        at = start_of(system)
        for step in whole.steps:
            ran = run.run(at, step)
            if ran.met == 0:
                return None
            if ran.met == 1:
                steps.append(Step(step.choices, step.draws, ran.ticks + 1))
                found = Trace(tuple(steps))
                sound = replay(system, found, target, anywhere=False).ruling.sound
                return found if sound else None
            steps.append(step)
            at = ran.state
    except RefusedStepError:
        return None
    return None


def point(at: Setting) -> Region:
    """Return a region of one setting."""
    return Region(at, at, (), {}, at)


def region(frame: Frame | None, system: System, target: Node, trace: Trace, at: Setting) -> Region:
    """Return the region of a run found at a setting; that setting alone where no more is known."""
    made = derived(frame, system, target, trace)
    if made is None or not made.holds(at):
        return point(at)
    return replace(made, at=at)


def derived(frame: Frame | None, system: System, target: Node, trace: Trace) -> Region | None:
    """Return the region of a run of a system of a frame, or of one that has more runs.

    None where it cannot be told, or where it is known to be empty.
    """
    if frame is None or frame.numbers is None or not resting_is_allowed(system):
        return None
    try:
        return _Forward(frame, frame.numbers, system).region(shape(system, target, trace))
    except NoShapeError:
        return None


def resting_is_allowed(system: System) -> bool:
    """Whether a run that has kept the assumptions so far may go on for ever by doing nothing."""
    pool = system.pool

    def leaf(node: Node) -> Node:
        return pool.const(node.data[1] == 0) if node.op is Op.PICK else node

    return replaced(pool, [system.allowed], leaf)[system.allowed.number] is pool.yes


def samples(of: Region, seed: int = 0) -> list[Setting]:
    """Return settings of a region to look at: corners of its box first, then some at random."""
    dice = random.Random(seed)  # noqa: S311 - chance keeps no secret here
    sides = [sorted({low, high}) for low, high in zip(of.low, of.high, strict=True)]
    corners = [one for one in product(*sides) if of.holds(one)][:CORNERS]
    found = dict.fromkeys(corners)
    for _ in range(20 * SAMPLES):
        if len(found) >= CORNERS + SAMPLES:
            break
        one = _drawn(of, dice)
        if of.holds(one):
            found[one] = None
    found.pop(of.at, None)
    return list(found)[: CORNERS + SAMPLES]


def _drawn(of: Region, dice: random.Random) -> Setting:
    """Draw a setting between where the run was found and some place of the box."""
    there = [dice.randint(low, high) for low, high in zip(of.low, of.high, strict=True)]
    far = dice.choice((1, 2, 4, 16))
    return tuple(here + (one - here) // far for here, one in zip(of.at, there, strict=True))


@dataclass(slots=True, eq=False)
class _Forward:
    """Goes forward over a shape: clocks as sums of dials, delays and drawn spans."""

    frame: Frame
    numbers: tuple[Moving, ...]
    system: System
    _rows: list[Row] = field(default_factory=list)
    _moving: dict[Symbol, Moving] = field(default_factory=dict)
    _symbols: dict[Moving, Symbol] = field(default_factory=dict)
    _unknowns: list[Symbol] = field(default_factory=list)
    _wished: dict[Symbol, int] = field(default_factory=dict)
    _first: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Find where the numbers of each clock begin."""
        place = 0
        for clock in self.system.clocks:
            self._first.append(place)
            place += 1 + 2 * len(clock.loads)

    def region(self, run: Shape) -> Region | None:
        """Return the region of a shape."""
        shows = {
            index: self._linear(self.numbers[first]) for index, first in enumerate(self._first)
        }
        delays: list[Symbol | None] = []
        draws: list[Mapping[int, Symbol]] = []
        for jump in run.jumps:
            delay = self._unknown(jump.ticks) if jump.free else None
            gone: Linear = {ONE: 1} if delay is None else {delay: 1}
            if delay is not None:
                self._at_least(plus((1, gone)), 1)
            loaded, drawn = self._loaded(jump)
            for fact in jump.facts:
                self._fact(fact, shows[fact.clock], gone if fact.clock in jump.runs else {ONE: 1})
                if jump.free and fact.clock in loaded:
                    self._fact(fact, loaded[fact.clock], {ONE: 1})
            shows = {index: one for index, one in shows.items() if index in jump.told}
            for index in jump.runs:
                shows[index] = plus((1, shows[index]), (-1, gone))
            shows.update(loaded)
            delays.append(delay)
            draws.append(drawn)
        for fact in run.facts:
            self._fact(fact, shows[fact.clock], {ONE: 1})
        rest = without(self._rows, self._unknowns)
        if rest is None:
            return None
        recipe = Recipe(run, rest, tuple(delays), tuple(draws), self._wished)
        low, high = self.frame.low, self.frame.high
        return Region(low, high, rest.rows, self._moving, low, recipe)

    def _fact(self, fact: Above, shows: Linear, gone: Linear) -> None:
        """Add: the clock is so in each of the ticks `gone`, counting down in all but the first."""
        if fact.live:
            self._at_least(plus((1, shows), (-1, gone)), fact.ticks)
        else:
            self._at_least(plus((-1, shows)), -fact.ticks)

    def _at_least(self, sum_: dict[Symbol, int], least: int) -> None:
        self._rows.append(row(plus((1, sum_), (-least, {ONE: 1}))))

    def _loaded(self, jump: Jump) -> tuple[dict[int, Linear], dict[int, Symbol]]:
        """Return what each clock shows that loads in a jump, and the symbols of what is drawn."""
        loaded: dict[int, Linear] = {}
        drawn: dict[int, Symbol] = {}
        for index, load in jump.loads.items():
            place = self._first[index] + 1 + 2 * load
            low, high = self.numbers[place : place + 2]
            loaded[index] = self._linear(low)
            if low != high:
                symbol = drawn[index] = self._unknown(jump.draws[index])
                self._at_least(plus((1, {symbol: 1}), (-1, loaded[index])), 0)
                self._at_least(plus((1, self._linear(high)), (-1, {symbol: 1})), 0)
                loaded[index] = {symbol: 1}
        return loaded, drawn

    def _linear(self, one: Moving) -> Linear:
        if one.percent == 0 or one.fixed:
            if one.fixed:
                return plus((one.at(self.frame.low), {ONE: 1}))
            return plus((one.base, {ONE: 1}), *((by, {dial: 1}) for dial, by in enumerate(one.by)))
        if one not in self._symbols:
            self._symbols[one] = self._new()
            self._moving[self._symbols[one]] = one
        return {self._symbols[one]: 1}

    def _new(self) -> Symbol:
        return len(self.frame.low) + len(self._symbols) + len(self._unknowns)

    def _unknown(self, wished: int) -> Symbol:
        symbol = self._new()
        self._unknowns.append(symbol)
        self._wished[symbol] = wished
        return symbol
