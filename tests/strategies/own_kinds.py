"""Own kinds of random designs: with parameters of each type, state of each sort, parts inside."""

import re
from dataclasses import dataclass

from tests.strategies.phrases import Count, Names, Phrases


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind drawn for one part: its text, how it is called, and what can be read of the part."""

    name: str
    text: str
    arguments: tuple[str, ...]
    inputs: tuple[str, ...]
    readable: tuple[str, ...]
    choices: tuple[tuple[str, tuple[str, ...]], ...]
    counts: tuple[Count, ...]
    rows: tuple[str, ...]
    powered: bool
    bits: int
    ways: int
    needs: tuple[str, ...] = ()

    @property
    def passes(self) -> bool:
        """Whether its main output is power."""
        return self.powered

    def call(self, phrases: Phrases) -> str:
        """Draw a call of it, with some of its arguments by name."""
        given = [one for one in self.arguments if phrases.chance(2)]
        return f"{self.name}({', '.join(given)})" if given else self.name

    def held(self, name: str) -> Names:
        """Kept choices and counts, under the part's name."""
        return Names(
            choices=tuple((f"{name}.{one}", options) for one, options in self.choices),
            counts=tuple(Count(f"{name}.{one.name}", one.low, one.high) for one in self.counts),
        )

    def now(self, name: str) -> Names:
        """All else."""
        conditions = tuple(f"{name}.{one}" if one else name for one in self.readable)
        return Names(conditions=conditions, rows=tuple(f"{name}.{one}" for one in self.rows))


class Body:
    """A kind in the making."""

    def __init__(self, phrases: Phrases, name: str) -> None:
        """Begin with one input."""
        self.phrases, self.name = phrases, name
        self.parameters: list[str] = []
        self.arguments: list[str] = []
        self.lines = ["in told: signal"]
        self.inputs = ["told"]
        self.names = Names(conditions=("told",))
        self.choices: list[tuple[str, tuple[str, ...]]] = []
        self.counts: list[Count] = []
        self.rows: list[str] = []
        self.readable: list[str] = []
        self.bits, self.ways = 0, 1

    def takes(self, parameter: str, argument: str) -> None:
        """Add a parameter that has a default, and an argument for it."""
        self.parameters.append(parameter)
        self.arguments.append(argument)

    def finished(self, *, powered: bool, before: str = "") -> Kind:
        """Return the kind; `before` are kinds that it is built of."""
        parameters = f"({', '.join(self.parameters)})" if self.parameters else ""
        words = ' "as chance would have it"' if self.phrases.chance(4) else ""
        body = "\n".join(f"  {line}" for line in self.lines)
        return Kind(
            self.name,
            f"{before}kind {self.name}{parameters}{words} {{\n{body}\n}}\n",
            tuple(self.arguments),
            tuple(self.inputs),
            ("", *self.readable),
            tuple(self.choices),
            tuple(self.counts),
            tuple(self.rows),
            powered,
            self.bits,
            self.ways,
        )


def own_kind(phrases: Phrases, name: str, rooms: tuple[str, ...]) -> Kind:
    """Draw a kind; one that holds another of its own now and then."""
    # Settings belong to the design, and a kind sees only its own names.
    outside, phrases.settings = phrases.settings, {}
    found = leaf(phrases, name, rooms)
    if phrases.chance(3):
        found = nest(phrases, f"nest_{name}", found)
    phrases.settings = outside
    return found


def leaf(phrases: Phrases, name: str, rooms: tuple[str, ...]) -> Kind:
    """Draw a kind without parts inside."""
    body = Body(phrases, name)
    powered = phrases.chance(2)
    if phrases.chance(3):
        body.lines.append(f"in bar: signal optional{phrases.one_of('', ' = yes', ' = no')}")
        body.names += Names(conditions=("bar",))
        body.inputs += ["bar"] * phrases.number(0, 1)
    _asked(body, rooms)
    if phrases.chance(6):
        body.lines.append("free nudge: signal")
        body.names += Names(conditions=("nudge",))
        body.ways = 2
    {0: _timed, 1: _counted, 2: _mooded, 3: _rowed}[phrases.number(0, 3)](body)
    if phrases.chance(8):
        body.lines.append(f"assume {phrases.assumption(body.names)}")
    shown = phrases.condition(body.names, 1)
    body.lines.append(f"let shows = {shown}")
    body.readable.append("shows")
    if powered:
        body.takes("draw: units = 1", f"draw: {phrases.number(0, 2)}")
        optional = " optional" if phrases.chance(3) else ""
        body.lines = [
            f"in feed: power{optional}",
            "out out: power = spare when shows else 0",
            f"out sign: signal = {phrases.one_of('shows', 'starving', 'fed')}",
            "uses draw of feed",
            *body.lines,
        ]
        body.readable += ["sign", "starving"]
    else:
        body.lines.append("out out: signal = shows")
    return body.finished(powered=powered)


def _asked(body: Body, rooms: tuple[str, ...]) -> None:
    """Draw a parameter of some type and a condition that hangs on it."""
    phrases = body.phrases
    match phrases.number(0, 6):
        case 0:
            body.takes("eager: flag = no", "eager: yes")
            body.names += Names(conditions=("eager",))
        case 1:
            body.takes("way: one of (left, right) = left", "way: right")
            body.names += Names(choices=(("way", ("left", "right")),))
        case 2:
            body.takes("most: count 0 .. 2 = 1", "most: 2")
            body.names += Names(counts=(Count("most", 0, 2),))
        case 3:
            body.takes("spot: room = anywhere", f"spot: {phrases.one_of('anywhere', *rooms)}")
            body.lines.append("let there = someone is in spot")
            body.names += Names(conditions=("there",))
        case 4:
            body.takes("lively: signal = yes", "lively: no")
            body.names += Names(conditions=("lively",))
        case _:
            pass


def _timed(body: Body) -> None:
    phrases = body.phrases
    body.takes("span: time = 2 ticks", f"span: {phrases.span(1, 2)}")
    body.lines.append("keep left: timer")
    if phrases.chance(2):
        body.lines.append("setting longer = 1 tick")
        body.lines.append(
            f"left loads span when {phrases.condition(body.names, 1)}, longer when told ends"
        )
    else:
        body.lines.append(f"left loads {phrases.ticks(1)} when told starts, span when told")
    body.names += Names(timers=("left",))
    body.lines.append("let on = left > 0 s")
    body.readable.append("on")
    if phrases.chance(3):
        body.lines.append(f"left runs while {phrases.condition(body.names, 0)}")
    body.bits = 3


def _counted(body: Body) -> None:
    phrases = body.phrases
    body.takes("top: count = 2", "top: 1")
    body.lines.append("keep level: count 0 .. top")
    body.names += Names(counts=(Count("level", 0, 2),))
    more, less = phrases.condition(body.names, 1), phrases.condition(body.names, 0)
    body.lines.append(f"level becomes level + 1 when {more} and level < top, 0 when {less}")
    body.counts.append(Count("level", 0, 2))
    body.bits = 2


def _mooded(body: Body) -> None:
    phrases, options = body.phrases, ("calm", "cross", "gone")
    body.lines.append(f"keep mood: one of ({', '.join(options)})")
    body.names += Names(choices=(("mood", options),))
    cases = ", ".join(
        f"{phrases.pick(body.names, options)} when {phrases.condition(body.names, 1)}"
        for _ in range(2)
    )
    body.lines.append(f"mood becomes {cases}, {phrases.one_of(*options)}")
    body.choices.append(("mood", options))
    body.bits = 2


def _rowed(body: Body) -> None:
    phrases = body.phrases
    body.takes("long: count = 2", "long: 1")
    body.lines += [
        "keep seen[1..long]: flag",
        f"for i in 1..long {{ seen[i] becomes {phrases.condition(body.names, 1)} }}",
    ]
    body.names += Names(rows=("seen",))
    body.rows.append("seen")
    body.bits = 2


def nest(phrases: Phrases, name: str, inner: Kind) -> Kind:
    """Draw a kind that holds the given one, a standard part, and wires between its own ports."""
    body = Body(phrases, name)
    # A kind sees no rooms of the design.
    call = re.sub(r"spot: \w+", "spot: anywhere", inner.call(phrases))
    body.lines.append(f"core : {call}")
    known = Names(conditions=("told", "lock", *(f"core.{one}" for one in inner.readable if one)))
    body.lines.append("lock : latch")
    body.lines += [
        f"lock.{port} when {phrases.condition(body.names, 0)}" for port in ("set", "reset")
    ]
    body.lines += [
        f"core.{port} when {phrases.condition(Names(conditions=('told', 'lock')), 1)}"
        for port in dict.fromkeys(inner.inputs)
    ]
    if inner.powered:
        body.lines = [
            "in feed: power",
            "out out: power",
            "feed -> core.feed",
            "core.out -> out",
            *body.lines,
        ]
    body.lines += ["out both: signal", f"both when {phrases.condition(known, 1)}"]
    body.readable = ["both"]
    body.bits, body.ways = inner.bits + 1, inner.ways
    return body.finished(powered=inner.powered, before=inner.text)
