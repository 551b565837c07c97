"""The standard parts as random designs place them: what they are told, what can be read of them."""

from dataclasses import dataclass

from tests.strategies.phrases import Count, Names, Phrases


@dataclass(frozen=True, slots=True)
class Standard:
    """A part of a standard kind; `{a}`, `{b}` in its pattern are spans, `{room}` a room.

    `after` names what follows from its state alone, `at_once` what else can be read; "" is the part
    itself. `needs` says what must be there: "power", "use".
    """

    pattern: str
    inputs: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    at_once: tuple[str, ...] = ()
    counts: tuple[Count, ...] = ()
    bits: int = 1
    needs: tuple[str, ...] = ()

    @property
    def powered(self) -> bool:
        """Whether it is fed."""
        return "power" in self.needs

    @property
    def passes(self) -> bool:
        """Whether what it leaves of its units goes on from it: its main output is power."""
        return self.pattern.startswith(("pulse", "on_delay", "off_delay", "flasher"))

    def text(self, phrases: Phrases, room: str = "") -> str:
        """Draw a call of the kind; for hands `room` is the argument, else the name of a room."""
        spans = {letter: phrases.time(1, 2) for letter in "ab" if f"{{{letter}}}" in self.pattern}
        if "{drift}" in self.pattern:
            spans["drift"] = phrases.span(1, 2)
        found = self.pattern.format(room=room, **spans)
        return found.replace("(, ", "(").replace(", )", ")").replace("()", "")

    def held(self, name: str) -> Names:
        """What follows from its state, under its name."""
        counts = tuple(Count(f"{name}.{one.name}", one.low, one.high) for one in self.counts)
        return Names(conditions=_under(name, self.after), counts=counts)

    def now(self, name: str) -> Names:
        """What is worked out in each tick, under its name."""
        return Names(conditions=_under(name, self.at_once))


def _under(name: str, words: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(f"{name}.{word}" if word else name for word in words)


HANDS = (
    Standard("button({room})", at_once=("",), bits=1),
    Standard("button(holds: {a}, {room})", at_once=("",), bits=2),
    Standard("button({a}, exact: yes, {room})", at_once=("",), bits=2),
    Standard("lever({room})", after=("", "thrown"), bits=2),
    Standard("lever(holds: {a}, {room})", after=("",), bits=3),
    Standard("lever(starts: yes, {room})", after=("",), bits=2),
    Standard("lever(exact: yes, {room})", after=("",), bits=3),
)

PLACED = (
    Standard("latch", ("set", "reset"), ("", "inverse")),
    Standard("latch(wins: set, starts: yes)", ("set", "reset"), ("", "held")),
    Standard("toggle", ("press", "reset"), ("", "inverse"), bits=2),
    Standard("toggle(yes)", ("press",), ("",), bits=2),
    Standard("edge", ("input",), at_once=("",)),
    Standard("edge(way: falling)", ("input",), at_once=("",)),
    Standard("edge(way: both)", ("input",), at_once=("",)),
    Standard(
        "counter(limit: 2)",
        ("up", "reset"),
        ("full", "empty"),
        counts=(Count("value", 0, 2),),
        bits=3,
    ),
    Standard(
        "counter(1, most: 2, start: 1)",
        ("up", "down", "load"),
        ("full",),
        counts=(Count("value", 0, 2),),
        bits=4,
    ),
    Standard("relay", ("coil",), ("pulled",)),
    Standard("and_gate", ("input[1]", "input[2]"), at_once=("",), bits=0),
    Standard("or_gate(ways: 2)", ("input[1]", "input[2]"), at_once=("",), bits=0),
    Standard("xor_gate", ("input[1]", "input[2]"), at_once=("",), bits=0),
    Standard("not_gate", ("input",), at_once=("",), bits=0),
    Standard("inhibit", ("input", "bar"), at_once=("",), bits=0),
    Standard("echo", ("input",), at_once=("",), bits=2, needs=("use",)),
    Standard("echo({a})", ("input",), at_once=("",), bits=2, needs=("use",)),
    Standard("plate({room})", at_once=("",), bits=0),
    Standard("daylight(day: {drift}, night: {a})", at_once=("light", "dark"), bits=3),
    Standard("daylight(day: {a}, night: {b}, starts: night)", at_once=("",), bits=3),
    Standard("pulse({a})", ("start",), ("on",), ("", "fed"), bits=3, needs=("power",)),
    Standard("pulse({drift})", ("start",), ("on",), ("",), bits=3, needs=("power",)),
    Standard(
        "pulse({a}, again: yes, draw: 2)", ("start",), ("on",), ("",), bits=3, needs=("power",)
    ),
    Standard("on_delay({a})", ("start",), at_once=("", "on"), bits=3, needs=("power",)),
    Standard("on_delay({drift})", ("start",), at_once=("",), bits=3, needs=("power",)),
    Standard("off_delay({a})", ("start",), at_once=("", "starving"), bits=3, needs=("power",)),
    Standard("off_delay({a}, again: no)", ("start",), at_once=("",), bits=3, needs=("power",)),
    Standard("flasher(lit: {a}, dark: {b})", ("told",), ("on",), ("",), bits=3, needs=("power",)),
    Standard(
        "door(opens: {a}, shuts: {b})",
        ("told",),
        ("ajar", "open"),
        ("fed",),
        bits=3,
        needs=("power",),
    ),
    Standard("door({a}, {drift}, starts: open)", ("told",), ("shut",), bits=3, needs=("power",)),
    Standard("lamp", at_once=("lit",), bits=0, needs=("power",)),
    Standard("bell(draw: 2)", at_once=("",), bits=0, needs=("power",)),
    Standard("load(needs: 2)", at_once=("works",), bits=0, needs=("power",)),
)
