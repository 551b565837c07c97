"""What one row of the time diagram shows: ribbons, wedges, leaves, strands on folded paper."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import assert_never
from xml.etree.ElementTree import Element

from verifier.report.clock import Clock
from verifier.report.drawing.svg import area, fitted, group, label, line, text_width
from verifier.report.folding import Stretch
from verifier.report.history import (
    Amount,
    Kept,
    Leaf,
    Left,
    Level,
    Place,
    Row,
    Run,
    Standing,
)
from verifier.source.times import SECOND

COLUMN = 8.0
"""Units of the drawing in a column of the layout."""

_HALF = 7.0  # half the height of a full ribbon
_PLEAT, _RISE = 11.0, 6.0  # width and height of a pleat
_FONT = 10.5
_STITCH = 11.0
_TEETH = 30


@dataclass(frozen=True, slots=True)
class Spot:
    """A point along the rule: its place, its tick (between two where time is folded), its rise."""

    x: float
    tick: float
    rise: float


@dataclass(frozen=True, slots=True)
class Paper:
    """A panel: which ticks lie where, and how the paper is folded.

    Names stand to the left of it; `now` is the room beside them for what a row is at a moment.
    """

    panel: Sequence[Stretch]
    left: float
    now: float = 0.0

    @property
    def edges(self) -> list[float]:
        """Return the left side of each stretch, and the right side of the last."""
        found = [self.left]
        for one in self.panel:
            found.append(found[-1] + one.columns * COLUMN)
        return found

    def x(self, tick: float) -> float:
        """Return the place of a tick."""
        for one, left in zip(self.panel, self.edges, strict=False):
            if tick <= one.end:
                return left + (tick - one.start) / (one.end - one.start) * one.columns * COLUMN
        return self.edges[-1]

    def corners(self) -> list[Spot]:
        """Return the corners of all pleats."""
        found: list[Spot] = []
        for one, left in zip(self.panel, self.edges, strict=False):
            if one.folded:
                found += self.pleats(one, left)
        return found

    def pleats(self, one: Stretch, left: float) -> list[Spot]:
        """Return the corners of one fold; it rises at each second one."""
        room = (one.columns - 1) * COLUMN
        count = 2 * max(1, round(room / (2 * _PLEAT)))
        found = []
        for at in range(count + 1):
            x = left + COLUMN / 2 + room * at / count
            tick = one.start + (x - left) / (one.columns * COLUMN) * (one.end - one.start)
            found.append(Spot(x, tick, _RISE * (at % 2)))
        return found

    def along(self, start: int, stop: int) -> list[Spot]:
        """Return the points from one tick to another, with all corners between."""
        corners = self.corners()
        inside = [one for one in corners if start < one.tick < stop]
        ends = [Spot(self.x(tick), tick, self._rise(tick, corners)) for tick in (start, stop)]
        return [ends[0], *inside, ends[1]]

    def _rise(self, tick: float, corners: Sequence[Spot]) -> float:
        for one, other in pairwise(corners):
            if one.tick <= tick <= other.tick and one.rise != other.rise:
                return one.rise + (other.rise - one.rise) * (tick - one.tick) / (
                    other.tick - one.tick
                )
        return 0.0


Reach = Callable[[Spot], float]


def strips(parent: Element, row: Row, paper: Paper, y: float, clock: Clock) -> None:
    """Draw a row around a height; each run is a group with its ticks."""
    first, last = paper.panel[0].start, paper.panel[-1].end
    for run in row.runs:
        start, stop = max(run.start, first), min(run.end, last)
        if start < stop:
            element = group(
                parent, f"run {_class(run)}", data_start=str(run.start), data_end=str(run.end)
            )
            _Strip(element, run, paper.along(start, stop), y, clock).draw()


def _class(run: Run) -> str:
    match run.state:
        case Level(live):
            return "live" if live else "dead"
        case Amount(number, need, _):
            return "starving" if need else "amount-of" if number else "none"
        case Left(ticks, _, _):
            return "timer" if ticks else "dead"
        case Leaf() as leaf:
            return f"leaf-{leaf.value}"
        case Place(_, between):
            return "between" if between else "place"
        case Standing(_, rest):
            return "dead" if rest else "place"
        case Kept(broken):
            return "broken" if broken else "dead"
        case _:
            assert_never(run.state)


@dataclass(frozen=True, slots=True)
class _Strip:
    """One run of a row."""

    parent: Element
    run: Run
    spots: Sequence[Spot]
    y: float
    clock: Clock

    @property
    def room(self) -> float:
        """How wide it is."""
        return self.spots[-1].x - self.spots[0].x

    def draw(self) -> None:
        """Draw it."""
        match self.run.state:
            case Level(live):
                self._ribbon(_HALF, "full") if live else self._thread()
            case Left(ticks, full, falls):
                self._wedge(ticks, full, falls=falls) if ticks else self._thread()
            case Amount(number, need, units):
                self._strands(number, need, units=units)
            case Leaf() as leaf:
                self._leaf(leaf)
            case Place(name, between):
                self._between() if between else self._named(name)
            case Standing(name, rest):
                self._thread() if rest else self._named(name)
            case Kept(broken):
                self._stitches() if broken else self._thread()
            case _:
                assert_never(self.run.state)

    def _at(self, reach: Reach) -> list[tuple[float, float]]:
        return [(one.x, self.y - one.rise - reach(one)) for one in self.spots]

    def _thread(self) -> None:
        line(self.parent, self._at(lambda _: 0), "thread")

    def _ribbon(self, half: float, class_: str) -> None:
        upper, lower = self._at(lambda _: half), self._at(lambda _: -half)
        area(self.parent, [*upper, *lower[::-1]], class_)

    def _words(self, text: str, class_: str = "on") -> None:
        """Write words where the paper is flat, else over the fold; nowhere if they do not fit."""
        room = text_width(text, _FONT) + 10
        flat = [one for one, after in pairwise(self.spots) if after.x - one.x >= room > 0]
        if not flat and room > self.room:
            return
        spot = flat[0] if flat else self.spots[0]
        class_ = class_ if flat else "gap"
        label(self.parent, (spot.x + 5, self.y + 4 - spot.rise), text, class_)

    def _wedge(self, ticks: int, full: int, *, falls: bool) -> None:
        def left(spot: Spot) -> float:
            gone = spot.tick - self.run.start if falls else 0
            return max(0.0, (ticks - gone) / max(full, ticks))

        upper = self._at(lambda spot: 2 * _HALF * left(spot) - _HALF)
        lower = self._at(lambda _: -_HALF)
        area(self.parent, [*upper, *lower[::-1]], "sand")
        self._teeth(left)
        self._words(self.clock.span(ticks))

    def _teeth(self, left: Reach) -> None:
        """Draw a tooth each second, or each five, as long as they are few."""
        length = self.run.end - self.run.start
        for seconds in (1, 5):
            step = seconds * SECOND // self.clock.tick_ns
            if not step or length // step > _TEETH or self.room * step / length < _FONT / 2:
                continue
            first, last = self.spots[0], self.spots[-1]
            for tick in range(self.run.start + step, self.run.end, step):
                if len(self.spots) > 2 or not first.tick < tick < last.tick:  # noqa: PLR2004 - folded
                    continue
                x = first.x + self.room * (tick - first.tick) / (last.tick - first.tick)
                high = 2 * _HALF * left(Spot(x, tick, 0)) - _HALF
                line(self.parent, [(x, self.y + _HALF), (x, self.y - high)], "tooth")
            return

    def _strands(self, number: int, need: int, *, units: bool) -> None:
        """Draw a strand for each unit, up to four, and the number in a gap."""
        count = min(number, 4)
        for at in range(count):
            off = 4.0 * (at - (count - 1) / 2)
            line(self.parent, [(x, y - off) for x, y in self._at(lambda _: 0)], "strand")
        if not number:
            self._thread()
            return
        words = f"{number} of {need}" if need else str(number)
        words = f"{words} unit{'' if number == 1 else 's'}" if units and not need else words
        self._words(words, "gap")

    def _leaf(self, leaf: Leaf) -> None:
        match leaf:
            case Leaf.SHUT:
                line(self.parent, self._at(lambda _: 0), "heavy")
            case Leaf.OPEN:
                self._ribbon(_HALF, "hollow")
                self._words("open")
            case Leaf.OPENING | Leaf.SHUTTING:
                self._travel(opening=leaf is Leaf.OPENING)
            case _:
                assert_never(leaf)

    def _travel(self, *, opening: bool) -> None:
        """Draw a leaf on its way: leaning strokes between lines that part, or close."""
        length = self.run.end - self.run.start

        def reach(spot: Spot) -> float:
            gone = (spot.tick - self.run.start) / length
            return 1 + (_HALF - 1) * (gone if opening else 1 - gone)

        upper, lower = self._at(reach), self._at(lambda spot: -reach(spot))
        area(self.parent, [*upper, *lower[::-1]], "way")
        for one, other in pairwise(self.spots):
            steps = int((other.x - one.x) // 6)
            for at in range(1, steps + 1):
                part = at / (steps + 1)
                tick = one.tick + (other.tick - one.tick) * part
                rise = one.rise + (other.rise - one.rise) * part
                spot = Spot(one.x + (other.x - one.x) * part, tick, rise)
                lean = 2.0 if opening else -2.0
                high, y = reach(spot), self.y - spot.rise
                line(self.parent, [(spot.x - lean, y + high), (spot.x + lean, y - high)], "tooth")

    def _named(self, name: str) -> None:
        self._ribbon(_HALF, "hollow")
        text = fitted(name, self.room - 10, _FONT)
        if text:
            self._words(text)

    def _between(self) -> None:
        """Draw chevrons along the way."""
        line(self.parent, self._at(lambda _: 0), "thread")
        x = self.spots[0].x + 8
        while x < self.spots[-1].x - 4:
            line(self.parent, [(x - 3, self.y - 4), (x + 2, self.y), (x - 3, self.y + 4)], "strand")
            x += 14

    def _stitches(self) -> None:
        self._ribbon(_HALF, "wash")
        for one, other in pairwise(self.spots):
            steps = round((other.x - one.x) / _STITCH)
            for at in range(steps):
                part = (at + 0.5) / steps
                x = one.x + (other.x - one.x) * part
                y = self.y - one.rise - (other.rise - one.rise) * part
                for way in (-3, 3):
                    line(self.parent, [(x - 3, y - way), (x + 3, y + way)], "stitch")
