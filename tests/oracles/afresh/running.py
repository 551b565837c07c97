"""A design as one Python function of a tick, made of the code of its expressions."""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from itertools import product
from math import prod
from pathlib import Path
from typing import Any, NamedTuple

from tests.oracles.afresh.letters import Node, UnsureError
from tests.oracles.afresh.people import People, walked
from tests.oracles.afresh.placing import Scope, Site, Thing
from tests.oracles.afresh.values import Amount, Choice, Clock, Span, Turned, Value

State = tuple[Any, ...]
Choices = tuple[Any, ...]
Row = tuple[bool, ...]
"""Which conditions that sentences ask for hold in a tick."""


class Ticked(NamedTuple):
    """What a tick does: what can be shown next, conditions, is a count led out, a part starved."""

    after: Sequence[Sequence[object]]
    row: Row
    overflow: bool
    starving: bool


class Load(NamedTuple):
    """A load of a timer: under which condition, the code of what it can show, at most how much."""

    asked: str
    spans: str
    most: int


class Running(People):
    """A design that runs.

    `claimed` and `assumed` are its sentences with conditions by their place in the row, times in
    ticks. `uses_units`, `counts`: whether it carries the claims `fed` and `counts`.
    """

    def __init__(self, text: str, folder: Path) -> None:
        """Read a design and make its function.

        Raises:
            UnsureError: something in it is not known.
        """
        super().__init__(text, folder)
        self._row: list[str] = []
        self._loaded: dict[int, list[tuple[int, int]]] = {}
        self._led_out: list[str] = []
        things = [one for scope in self.scopes for one in scope.things()]
        self.open_rooms()
        for first in (True, False):
            for thing in things:
                if (thing.sort in {"keep", "free"}) is first:
                    self.meaning(thing)
        kept = [(thing, self.meaning(thing)) for thing in things if thing.sort == "keep"]
        after = self.steps()
        after |= dict(self._after(thing, value) for thing, value in kept)
        self.counts = any(isinstance(value, Amount) for _, value in kept)
        using = [one for one in self.scopes if one.uses is not None]
        self.uses_units = bool(using)
        hungry = [self.flag(self.used(one, "starving")) for one in using if not self._excused(one)]
        self.claimed = {name: self._sentence(node, site) for name, node, site in self.claims}
        self.assumed = [self._sentence(node, site) for node, site in self.assumptions]
        after |= {place: f"({now},)" for place, now in self.edges}
        self._tick = self._compiled(after, hungry)
        self.choices = list(product(*(one.options for one in self.free)))
        self.rest: Choices = tuple(one.options[0] for one in self.free)

    def tick_of(self, state: State, choices: Choices) -> Ticked:
        """Return what a tick does."""
        return Ticked(*self._tick(state, choices))

    def start(self) -> State:
        """Return the state at tick 0."""
        return tuple(one.start for one in self.slots)

    def presses(self, before: Choices, now: Choices) -> int:
        """Return how many choices are pressed: not at rest, and something else a tick ago."""
        return sum(
            free.presses and new not in (rest, old)
            for free, rest, old, new in zip(self.free, self.rest, before, now, strict=True)
        )

    def starts(self, most: int, longest: Mapping[int, int]) -> Iterator[State]:
        """Yield all that the parts can be left in; `longest`: what each timer can show at most.

        Raises:
            UnsureError: there are more than `most`.
        """
        left = [one.left for one in self.slots]
        for place, ticks in longest.items():
            left[place] = range(ticks + 1)
        if prod(map(len, left)) > most:
            raise UnsureError("too many states to begin with")
        return product(*left)

    def longest(self, rows: Collection[Row] | None = None) -> dict[int, int]:
        """Return what each timer can show at most.

        `rows`: of all ticks; a load that gets its turn in none of them does not count. Without
        them only one does not whose condition is plainly never so.
        """
        found = {}
        for place, loads in self._loaded.items():
            spans = [one for row, one in loads if rows is None or any(each[row] for each in rows)]
            start = self.slots[place].start
            assert isinstance(start, int)
            found[place] = max([start, *spans])
        return found

    def _excused(self, scope: Scope) -> bool:
        """Whether a part may starve, or one around it."""
        above: Scope | None = scope
        while above is not None and above not in self.excused:
            above = above.above
        return above is not None

    # --- what is kept -----------------------------------------------------------------------------

    def _after(self, thing: Thing, value: Value) -> tuple[int, str]:
        """Return the place of what is kept, and the code of what it can be in the next tick."""
        if isinstance(value, Clock):
            return value.place, self._timer(value)
        place, after = self.at[thing], self._code(value)
        cases, site = thing.cases or ((), thing.site)
        options = value.options if isinstance(value, Choice) else None
        for node, asked in reversed(cases):
            then = self._code(self.of(node, site, options))
            after = f"({then} if {self.condition(asked, site)} else {after})"
        if isinstance(value, Amount):
            least, most = self.bounds(thing)
            after = self.line(after)
            self._led_out.append(f"not {least} <= {after} <= {most}")
            after = f"min(max({after}, {least}), {most})"
        return place, f"({after},)"

    def _code(self, value: Value) -> str:
        match value:
            case Amount(code) | Choice(code, _):
                return str(code)
            case _:
                return self.flag(value)

    def _timer(self, clock: Clock) -> str:
        shown, run = f"s[{clock.place}]", self.running(clock.thing)
        after = f"({shown} - 1 if {shown} > 0 and {run} else {shown},)"
        loads = list(self._loads(clock))
        for load in reversed(loads):
            after = f"({load.spans} if {load.asked} else {after})"
        self._loaded[clock.place] = self._turns(loads)
        return after

    def _turns(self, loads: Sequence[Load]) -> list[tuple[int, int]]:
        """Note in the row when each load gets its turn; return where, and how much it loads."""
        found, others = [], "False"
        for load in loads:
            if load.asked == "False":
                continue
            found.append((len(self._row), load.most))
            self._row.append(self.line(f"({load.asked} and not ({others}))"))
            others = f"{others} or {load.asked}"
            if load.asked == "True":
                break
        return found

    def _loads(self, clock: Clock) -> Iterator[Load]:
        cases, site = clock.thing.cases or ((), clock.thing.site)
        for node, asked in cases:
            match self.of(node, site):
                case Turned(span, other) if other.thing is clock.thing:
                    ticks = self.whole(span)
                    spans, most = f"(max({ticks} - s[{clock.place}], 0),)", ticks
                case Span() as span:
                    least, most = self._tolerated(span)
                    spans = f"range({least}, {most + 1})"
                case _:
                    raise UnsureError("a load that is no time")
            yield Load(self.condition(asked, site), spans, most)

    def _tolerated(self, span: Span) -> tuple[int, int]:
        """Widen a span by the tolerance, outward to whole ticks; one tick stays as it is."""
        least, most = self.whole(span.least), self.whole(span.most)
        if not self.tolerance or most <= 1:
            return least, most
        shorter = least * (100 - self.tolerance) // 100
        longer = -(-most * (100 + self.tolerance) // 100)
        return (max(1, shorter) if least else 0), longer

    # --- sentences --------------------------------------------------------------------------------

    def _sentence(self, node: Node, site: Site) -> Node:  # noqa: C901 - one case a form
        """Return a sentence with conditions by their place in the row, and times in ticks."""

        def asked(condition: Node) -> int:
            self._row.append(self.line(self.condition(condition, site)))
            return len(self._row) - 1

        def ticks(time: Node | None) -> int | None:
            return None if time is None else self.ticks(time, site)

        match node:
            case ("anywhere", inner):
                return ("anywhere", self._sentence(inner, site))
            case ("while" | "after" | "from" as word, *conditions, inner):
                return (word, *map(asked, conditions), self._sentence(inner, site))
            case ("at most", what, number, window):
                return ("at most", asked(what), self.number(number, site), ticks(window))
            case ("only after", what, links, each):
                every = ticks(each)
                found = [
                    (asked(link), every if limit is None and place else ticks(limit))
                    for place, (link, limit) in enumerate(links)
                ]
                return ("only after", asked(what), found, every)
            case ("possible", what, limit, whatever):
                return ("possible", asked(what), ticks(limit), whatever)
            case ("lasts", what, least, most):
                return ("lasts", asked(what), ticks(least), ticks(most))
            case ("leads to", cause, effect, limit):
                return ("leads to", asked(cause), asked(effect), ticks(limit))
            case ("never" | "only while" as word, *conditions):
                return (word, *map(asked, conditions))
            case (word, what, limit):
                return (word, asked(what), ticks(limit))
            case _:
                raise UnsureError(str(node[0]))

    # --- the function -----------------------------------------------------------------------------

    def _compiled(
        self, after: Mapping[int, str], hungry: Sequence[str]
    ) -> Callable[[State, Choices], Any]:
        nexts = "".join(f"{after[place]}, " for place in range(len(self.slots)))
        row = "".join(f"{one}, " for one in self._row)
        led_out = " or ".join(self._led_out) or "False"
        starved = " or ".join(hungry) or "False"
        lines = [*self.lines, f"return ({nexts}), ({row}), {led_out}, {starved}"]
        source = "\n    ".join(["def tick(s, c):", *lines])
        names: dict[str, Any] = {"walked": walked, "exits": self.exits}
        exec(compile(source, "<afresh>", "exec"), names)  # noqa: S102 - written by us
        tick: Callable[[State, Choices], Any] = names["tick"]
        return tick
