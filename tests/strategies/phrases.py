"""Draws expressions, spans and sentences of the language over names that mean something.

Everything drawn reads without error; `Names` tells what may be read where it is drawn.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from hypothesis import strategies as st

Draw = st.DrawFn

SIZES = {"h": 3_600_000, "min": 60_000, "s": 1_000, "ms": 1}
"""Milliseconds in each unit of time."""


@dataclass(frozen=True, slots=True)
class Count:
    """A number that can be read, and its range."""

    name: str
    low: int
    high: int


@dataclass(frozen=True, slots=True)
class Names:
    """What can be read: conditions, numbers, choices with their options, timers, rows, people."""

    conditions: tuple[str, ...] = ()
    counts: tuple[Count, ...] = ()
    choices: tuple[tuple[str, tuple[str, ...]], ...] = ()
    timers: tuple[str, ...] = ()
    rows: tuple[str, ...] = ()
    rooms: tuple[str, ...] = ()
    walkers: tuple[str, ...] = ()

    def __add__(self, other: "Names") -> "Names":
        """Return what can be read of both."""
        return Names(
            self.conditions + other.conditions,
            self.counts + other.counts,
            self.choices + other.choices,
            self.timers + other.timers,
            self.rows + other.rows,
            self.rooms + other.rooms,
            self.walkers + other.walkers,
        )


@dataclass(slots=True)
class Phrases:
    """Draws phrases; `tick` is the length of a tick in ms, `edges` how many `starts` are left."""

    draw: Draw
    tick: int = 100
    edges: int = 3
    settings: dict[str, list[str]] = field(default_factory=dict)

    def one_of(self, *options: str) -> str:
        """Draw one of some texts."""
        return self.draw(st.sampled_from(options))

    def number(self, low: int, high: int) -> int:
        """Draw a whole number."""
        return self.draw(st.integers(low, high))

    def chance(self, one_in: int) -> bool:
        """Draw whether something is so that seldom is."""
        return self.draw(st.integers(0, one_in - 1)) == one_in - 1

    # --- times ------------------------------------------------------------------------------------

    def ticks(self, count: int) -> str:
        """Return a time of so many ticks, in ticks or in a unit that fits."""
        plain = f"{count} tick" if count == 1 else f"{count} ticks"
        fitting = [unit for unit, size in SIZES.items() if count * self.tick % size == 0]
        if not fitting or self.chance(2):
            return plain
        unit = self.one_of(*fitting[:2])
        return f"{count * self.tick // SIZES[unit]} {unit}"

    def time(self, low: int, high: int) -> str:
        """Draw a time of some ticks, by a setting where there is one."""
        if low <= 2 <= high and self.settings.get("time") and self.chance(2):
            return self.one_of(*self.settings["time"])
        count = self.number(low, high)
        if count > 1 and self.chance(5):
            return self.one_of(f"{self.ticks(count - 1)} + 1 tick", f"1 tick * {count}")
        return self.ticks(count)

    def span(self, low: int, high: int) -> str:
        """Draw a span: a time or a range of times."""
        if self.settings.get("span") and self.chance(3):
            return self.one_of(*self.settings["span"])
        if self.chance(3):
            least = self.number(low, high)
            return f"{self.ticks(least)} .. {self.ticks(least + self.number(0, 1))}"
        return self.time(low, high)

    # --- conditions -------------------------------------------------------------------------------

    def condition(self, names: Names, depth: int = 2) -> str:
        """Draw a condition."""
        if depth == 0 or not self.chance(2):
            return self._plain(names)
        inner = depth - 1
        kind = self.number(0, 9)
        left = self.condition(names, inner)
        if kind <= 1:
            return f"not ({left})"
        right = self.condition(names, inner)
        match kind:
            case 2 | 3:
                return f"({left} and {right})"
            case 4 | 5:
                return f"({left} or {right})"
            case 6:
                return f"({left} when {self._plain(names)} else {right})"
            case 7:
                return f"(({left}) {self.one_of('=', '!=')} ({right}))"
            case _:
                return self._tally(names, left, right)

    def _tally(self, names: Names, *items: str) -> str:
        listed = [*items, *([self.one_of(*names.rows)] if names.rows and self.chance(2) else [])]
        words = self.one_of(
            "at most 1 of", "at least 2 of", "exactly 1 of", "all of", "any of", "none of"
        )
        if names.rows and self.chance(3):
            return f"{words} {self.one_of(*names.rows)}"
        return f"{words} ({', '.join(listed)})"

    def _plain(self, names: Names) -> str:
        """Draw a condition without `and`, `or` and the like."""
        sorts = [
            *(["condition"] * 6 if names.conditions else []),
            *(["count"] * 2 if names.counts else []),
            *(["choice"] * 2 if names.choices else []),
            *(["timer"] if names.timers else []),
            *(["walker"] * 2 if names.walkers else []),
            *(["row"] if names.rows else []),
        ]
        match self.one_of(*sorts) if sorts else "":
            case "condition":
                found = self.one_of(*names.conditions)
            case "count":
                found = self._compared(names)
            case "choice":
                found = self._picked(names)
            case "timer":
                return self._timed(names)
            case "walker":
                found = self._whereabouts(names)
            case "row":
                found = f"{self.one_of('any of', 'all of')} {self.one_of(*names.rows)}"
            case _:
                return self.one_of("yes", "no")
        if self.edges and self.chance(4):
            self.edges -= 1
            inner = f"({found})" if " " in found else found
            return f"({inner} {self.one_of('starts', 'ends')})"
        return f"not {found}" if self.chance(3) else found

    def _compared(self, names: Names) -> str:
        relation = self.one_of("=", "!=", "<", "<=", ">", ">=")
        left, right = self.amount(names), self.amount(names, depth=0)
        return f"({left} {relation} {right})"

    def _picked(self, names: Names) -> str:
        name, options = self.draw(st.sampled_from(names.choices))
        others = [one for one, known in names.choices if known == options]
        if len(others) > 1 and self.chance(2):
            return f"({name} {self.one_of('=', '!=', 'is', 'is not')} {self.one_of(*others)})"
        return f"({name} {self.one_of('is', 'is not', '=', '!=')} {self.one_of(*options)})"

    def _timed(self, names: Names) -> str:
        timer, time = self.one_of(*names.timers), self.time(0, 3)
        if self.chance(3):
            return f"({timer} ends)"
        relation = self.one_of("=", "!=", "<", "<=", ">", ">=")
        return f"({timer} {relation} {time})" if self.chance(2) else f"({time} {relation} {timer})"

    def _whereabouts(self, names: Names) -> str:
        who, one, other = self.one_of(*names.walkers), *names.rooms[:2]
        match self.number(0, 4):
            case 0:
                return f"({who} is not in {self.one_of(*names.rooms)})"
            case 1:
                return f"(someone is in {self.one_of(*names.rooms)})"
            case 2:
                return f"({who} is {self.one_of('between', 'not between')} {one} and {other})"
            case 3:
                return f"(count of walkers in {self.one_of(*names.rooms)} >= {self.number(0, 1)})"
            case _:
                return f"({who} is in {self.one_of(*names.rooms)})"

    # --- amounts and choices ----------------------------------------------------------------------

    def amount(self, names: Names, depth: int = 1) -> str:
        """Draw a number."""
        counts = [one.name for one in names.counts]
        leaf = self.one_of(*counts, str(self.number(0, 3))) if counts else str(self.number(0, 3))
        if depth == 0 or not self.chance(2):
            return leaf
        other = self.amount(names, depth - 1)
        match self.number(0, 6):
            case 0 | 1:
                return f"({leaf} {self.one_of('+', '-')} {other})"
            case 2:
                return f"({leaf} * {self.number(0, 2)})"
            case 3:
                return f"({leaf} {self.one_of('div', 'mod')} {self.number(1, 3)})"
            case 4:
                return f"({leaf} when {self._plain(names)} else {other})"
            case 5 if names.rows:
                return f"sum of {self.one_of(*names.rows)}"
            case _:
                return f"sum of ({leaf}, {self._plain(names)})"

    def pick(self, names: Names, options: Sequence[str]) -> str:
        """Draw one of some options, or what stands at one of them."""
        known = [one for one, its in names.choices if its == tuple(options)]
        one, other = self.one_of(*options, *known), self.one_of(*options)
        if self.chance(3) and one not in options:
            return f"({one} when {self._plain(names)} else {other})"
        return one

    # --- sentences --------------------------------------------------------------------------------

    def sentence(self, names: Names) -> str:
        """Draw a claim of any form in any scope."""
        match self.number(0, 9):
            case 0 | 1:
                found = self._of_whole_runs(names)
            case _:
                found = self._scopes(names) + self.kept(names, limits=self.draw(st.booleans()))
        return f"from anywhere: {found}" if self.chance(6) else found

    def assumption(self, names: Names) -> str:
        """Draw a sentence that can be assumed."""
        sooner = f"{self.condition(names, 1)} no sooner than {self.time(0, 3)}"
        if self.chance(8):
            return sooner
        scope = self._scopes(names) if self.chance(3) else ""
        return scope + self.kept(names, limits=True)

    def _scopes(self, names: Names) -> str:
        found = ""
        while self.chance(3) and len(found) < 80:
            one, other = self.condition(names, 1), self.condition(names, 0)
            found += self.one_of(f"while {one}: ", f"after {one}: ", f"from {one} until {other}: ")
        return found

    def _of_whole_runs(self, names: Names) -> str:
        what, time = self.condition(names, 1), self.time(0, 4)
        return self.one_of(
            f"possible {what}",
            f"possible {what} within {time}",
            f"possible {what} whatever the spans",
            f"possible {what} within {time} whatever the spans",
            f"{what} no sooner than {time}",
            f"always possible {what}",
            f"always possible {what} within {time}",
        )

    def kept(self, names: Names, *, limits: bool) -> str:
        """Draw a sentence that may stand in a scope; with `limits` one that has a time or none."""
        one, two, three = (self.condition(names, 1) for _ in range(3))
        time = self.time(0, 4)
        low = self.number(0, 3)
        endless = (f"{one} returns", f"{one} leads to {two}", f"eventually {one}")
        late = () if limits else (f"eventually {one} within {time}", *endless)
        times = self.number(0, 2)
        return self.one_of(
            f"never {one}",
            f"always {one}",
            f"{one} lasts at least {time}",
            f"{one} lasts at most {time}",
            f"{one} lasts {time}",
            f"{one} lasts {self.ticks(low)} .. {self.ticks(low + 1)}",
            f"{one} returns within {time}",
            f"{one} leads to {two} within {time}",
            f"{one} only after {two}",
            f"{one} only after {two} then {three}",
            f"{one} only after {two} then {three} within {time}",
            f"{one} only after {two} then {three} each within {time}",
            f"{one} only while {two}",
            f"{one} at most {times} times in any {self.ticks(low + 1)}",
            *late,
            *late,
        )


def renamed(names: Names, part: str) -> Names:
    """Return names as they are read from outside of a part."""
    return replace(
        names,
        conditions=tuple(f"{part}.{one}" for one in names.conditions),
        counts=tuple(Count(f"{part}.{one.name}", one.low, one.high) for one in names.counts),
        choices=tuple((f"{part}.{one}", options) for one, options in names.choices),
        timers=tuple(f"{part}.{one}" for one in names.timers),
        rows=tuple(f"{part}.{one}" for one in names.rows),
        rooms=(),
        walkers=(),
    )
