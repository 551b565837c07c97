"""Which settings change nothing but numbers of ticks, and how each number follows from them.

A setting that is a time, and that the design only adds and multiplies (`Design.pinned` names the
others), lengthens spans, starts and limits in proportion. Lowering may still take another turn
where a limit is next to nothing; it does so at thresholds, so two designs that agree in all but
numbers at the lowest and at the highest corner of a box agree so at every setting in between.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from verifier.syntax import tree
from verifier.system.expr import Node, reachable
from verifier.system.model import System
from verifier.tuning.dials import Setting, Sort
from verifier.tuning.dials_rig import Rig, moved

Shape = tuple[object, ...]
Numbers = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Moving:
    """A number of ticks that follows from the dials: `base` plus each dial by its share.

    `percent`: widened after that by a tolerance, downward where negative, to whole ticks.
    """

    base: int
    by: tuple[int, ...]
    percent: int = 0

    def plain(self, setting: Setting) -> int:
        """Return the number at a setting before it is widened."""
        return self.base + sum(c * value for c, value in zip(self.by, setting, strict=True))

    def at(self, setting: Setting) -> int:
        """Return the number at a setting."""
        ticks = self.plain(setting)
        if self.percent == 0:
            return ticks
        if self.percent < 0:
            return max(1, ticks * (100 + self.percent) // 100)
        return -(-ticks * (100 + self.percent) // 100)

    @property
    def fixed(self) -> bool:
        """Whether no dial moves it."""
        return not any(self.by)


@dataclass(frozen=True, slots=True)
class Frame:
    """A box of settings with designs of one shape; `numbers` are theirs, as `numbers_of` puts them.

    None stands for numbers that could not be told as sums of dials.
    """

    low: Setting
    high: Setting
    numbers: tuple[Moving, ...] | None

    def holds(self, at: Setting) -> bool:
        """Whether a setting lies in the box."""
        return all(
            low <= one <= high for low, one, high in zip(self.low, at, self.high, strict=True)
        )


def shape_of(system: System) -> Shape:
    """Return all of a system but its numbers of ticks; equal shapes have equal nodes."""
    roots = [one.next for one in system.registers]
    roots += [load.when for clock in system.clocks for load in clock.loads]
    roots += [clock.runs for clock in system.clocks]
    asked = [
        node
        for one in system.questions
        for node in (one.bad, one.goal, one.waiting, one.trigger or system.pool.no)
    ]
    nodes = reachable([*roots, *asked, system.allowed])
    return (
        tuple((node.number, node.op, _numbers(node.args), node.data) for node in nodes),
        tuple((one.name, one.start, one.next.number, one.kept) for one in system.registers),
        tuple(
            (one.name, one.runs.number, tuple((x.when.number, x.turned) for x in one.loads))
            for one in system.clocks
        ),
        system.choices,
        tuple((one.name, one.form, one.anywhere, one.whatever) for one in system.questions),
        _numbers(tuple(asked)),
        system.allowed.number,
    )


def _numbers(nodes: tuple[Node, ...]) -> Numbers:
    return tuple(node.number for node in nodes)


def numbers_of(system: System) -> Numbers:
    """Return its numbers of ticks: of each clock the start, then low and high of each load."""
    found: list[int] = []
    for clock in system.clocks:
        found.append(clock.start)
        for load in clock.loads:
            found += (load.low, load.high)
    return tuple(found)


@dataclass(slots=True, eq=False)
class Frames:
    """Finds a box around a setting; each is kept for all settings in it."""

    rig: Rig
    _known: dict[Setting, list[Frame]] = field(default_factory=dict)

    def around(self, at: Setting) -> Frame | None:
        """Return a box with a setting in it, None where no other setting is like it."""
        system = self.rig.system(at)
        if system is None:
            return None
        pinned = system.design.pinned
        smooth = [
            place
            for place, dial in enumerate(self.rig.dials)
            if dial.sort is Sort.TIME and dial.name not in pinned
        ]
        key = tuple(-1 if place in smooth else value for place, value in enumerate(at))
        known = self._known.setdefault(key, [])
        for frame in known:
            if frame.holds(at):
                return frame
        top = at
        for place in smooth:
            top = moved(top, place, self.rig.dials[place].high)
        for begin in (top, at):
            found = self._found(begin, smooth)
            if found is not None and found.holds(at):
                known.append(found)
                return found
        return None

    def _found(self, begin: Setting, smooth: list[int]) -> Frame | None:
        """Return a box around a setting, made as wide as it can be dial by dial."""
        like = self._like(begin)
        low, high = begin, begin
        for place in smooth:
            dial = self.rig.dials[place]
            low = moved(low, place, _last(like, low, place, dial.low))
            high = moved(high, place, _last(like, high, place, dial.high))
        if low == high or not (like(low) and like(high)):
            return None
        return Frame(low, high, self._spans(low, high, smooth))

    def _like(self, top: Setting) -> Callable[[Setting], bool]:
        first = self.rig.system(top)
        shape = None if first is None else shape_of(first)
        pinned = None if first is None else first.design.pinned

        def like(at: Setting) -> bool:
            system = self.rig.system(at)
            return (
                system is not None and system.design.pinned == pinned and shape_of(system) == shape
            )

        return like

    # --- numbers as sums of dials ----------------------------------------------------------------

    def _spans(self, low: Setting, high: Setting, smooth: list[int]) -> tuple[Moving, ...] | None:
        """Return every number as a sum of dials, tried out at both corners."""
        plain = self._numbers(low, 0)
        top, bottom = self._numbers(high), self._numbers(low)
        if plain is None or top is None or bottom is None:
            return None
        shares: list[list[int]] = [[0] * len(low) for _ in plain]
        for place in smooth:
            width = high[place] - low[place]
            if width == 0:
                continue
            there = self._numbers(moved(low, place, high[place]), 0)
            if there is None or len(there) != len(plain):
                return None
            for share, one, other in zip(shares, plain, there, strict=True):
                if (other - one) % width:
                    return None
                share[place] = (other - one) // width
        found = []
        for share, one, least, most in zip(shares, plain, bottom, top, strict=True):
            base = one - sum(c * value for c, value in zip(share, low, strict=True))
            plainly = Moving(base, tuple(share))
            tried = (plainly, *(replace(plainly, percent=way * self.percent) for way in (-1, 1)))
            fits = (one for one in tried if (one.at(low), one.at(high)) == (least, most))
            moving = next(fits, None)
            if moving is None:
                return None
            found.append(moving)
        return tuple(found)

    def _numbers(self, at: Setting, tolerance: int | None = None) -> Numbers | None:
        system = self.rig.system(at, tolerance)
        return None if system is None else numbers_of(system)

    @property
    def percent(self) -> int:
        """The tolerance of the design as it is written."""
        body = self.rig.block.body
        return next((one.percent for one in body if isinstance(one, tree.Tolerance)), 0)


def _last(like: Callable[[Setting], bool], top: Setting, place: int, far: int) -> int:
    """Return the value nearest to `far` up to which designs are like the one at `top`."""
    near = top[place]
    if like(moved(top, place, far)):
        return far
    while abs(far - near) > 1:
        half = (near + far) // 2
        if like(moved(top, place, half)):
            near = half
        else:
            far = half
    return near
