"""A Hypothesis strategy for small designs that use the whole language, as text.

Every construct of the grammar may come up: own kinds, one in another, parameters of each type, rows
and loops, amounts and counts, choices, spans with ranges, tolerance, settings, walkers and their
rooms, assumptions, claims of each form in each scope. Designs stay so small that every state can be
tried: what keeps state or is chosen is paid for from a budget. All of them read without error.

An estate is laid out in this order: what may be read later is named first.
"""

from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

from hypothesis import strategies as st

from tests.strategies.own_kinds import Kind, own_kind
from tests.strategies.phrases import Count, Draw, Names, Phrases
from tests.strategies.standard import HANDS, PLACED, Standard

HOME = Path(__file__).parents[1] / "oracles" / "found" / "estate.latch"
"""Where a design is taken to stand: what it may `use` lies beside."""

TICKS = {
    "tick 100 ms": 100,
    "": 100,
    "tick 500 ms": 500,
    "tick 1 min": 60_000,
    "tick 1 h": 3_600_000,
}
OPTIONS = (("calm", "busy", "wild"), ("left", "right"))


@dataclass(slots=True)
class Estate:
    """A design in the making.

    `held`: what follows from kept state, rooms and people, and may be read anywhere. `now`: what is
    worked out in its tick from what was placed before. `bits` and `ways` are what is left to spend
    on state and on free choices.
    """

    phrases: Phrases
    bits: int
    ways: int = 12
    head: list[str] = field(default_factory=list)
    lines: list[str] = field(default_factory=list)
    kinds: list[str] = field(default_factory=list)
    parameters: list[str] = field(default_factory=list)
    held: Names = field(default_factory=Names)
    now: Names = field(default_factory=Names)
    feeds: int = 0

    @property
    def names(self) -> Names:
        """All that can be read."""
        return self.held + self.now

    def add(self, *lines: str) -> None:
        """Write lines."""
        self.lines.extend(lines)

    def pays(self, bits: int, ways: int = 1) -> bool:
        """Pay for state and choices; return whether there was enough left."""
        if bits > self.bits or ways > self.ways:
            return False
        self.bits -= bits
        self.ways //= ways
        return True


@st.composite
def estates(draw: Draw, claims: int = 3) -> str:
    """Draw a design with some claims."""
    phrases = Phrases(draw)
    estate = Estate(phrases, bits=phrases.number(4, 12))
    tick = phrases.one_of(*TICKS)
    phrases.tick = TICKS[tick]
    if tick:
        estate.add(tick)
    if phrases.chance(10):
        estate.add(f"tolerance {phrases.one_of('0', '5', '10')} %")
    _values(estate)
    if phrases.chance(3):
        _people(estate)
    _hands(estate)
    _kept(estate)
    if phrases.chance(3):
        _rows(estate)
    _parts(estate)
    _lets(estate)
    if phrases.chance(5):
        estate.add("one press at a time")
    phrases.edges += 1
    for _ in range(phrases.number(1, 2) if phrases.chance(4) else 0):
        estate.add(f"assume {phrases.assumption(estate.names)}")
    for number in range(claims):
        words = ' "what is asked"' if phrases.chance(8) else ""
        name = f"c{number}[1..2]" if phrases.chance(15) else f"c{number}"
        estate.add(f"claim {name}{words}: {phrases.sentence(estate.names)}")
    return _written(estate)


def _written(estate: Estate) -> str:
    parameters = f"({', '.join(estate.parameters)})" if estate.parameters else ""
    body = "\n".join(f"  {line}" for line in estate.lines)
    words = ' "drawn by chance"' if len(estate.lines) % 5 == 0 else ""
    design = f"design estate{parameters}{words} {{\n{body}\n}}\n"
    return "\n".join([*estate.head, *estate.kinds, design])


# --- what is fixed --------------------------------------------------------------------------------


def _values(estate: Estate) -> None:
    """Draw settings, and parameters of the design."""
    phrases = estate.phrases
    if phrases.chance(3):
        tunable = f" tunable 1 tick .. {phrases.ticks(3)}" if phrases.chance(2) else ""
        estate.add(f"setting stay = {phrases.ticks(2)}{tunable}")
        phrases.settings.setdefault("time", []).append("stay")
    if phrases.chance(6):
        estate.add("setting drift = 1 tick .. 2 ticks")
        phrases.settings["span"] = ["drift"]
    if phrases.chance(3):
        which = phrases.number(0, 5)
        options = ", ".join(OPTIONS[0])
        estate.parameters += [
            ("levers: count = 2", "wait: time = 2 ticks"),
            (f"mood: one of ({options}) = {phrases.one_of(*OPTIONS[0])}",),
            ("quiet: signal = yes", "calm_now: flag = no"),
            ("lots: count 0 .. 3 = 2", "plenty: units = 3"),
            ("wait: time = 2 ticks",),
            ("calm_now: flag = yes",),
        ][which]
        given = " ".join(estate.parameters)
        if "wait" in given:
            phrases.settings.setdefault("time", []).append("wait")
        conditions = tuple(one for one in ("quiet", "calm_now") if one in given)
        counts = tuple(Count(one, 0, 3) for one in ("levers", "lots", "plenty") if one in given)
        estate.held += Names(conditions, counts, (("mood", OPTIONS[0]),) if "mood" in given else ())


# --- people ---------------------------------------------------------------------------------------


def _people(estate: Estate) -> None:
    """Draw rooms, passages and a walker or two; conditions of passages read hands drawn later."""
    phrases = estate.phrases
    rooms = ("lawn", "grotto", "vault")[: phrases.number(2, 3)]
    estate.add(f"rooms {', '.join(rooms)}")
    estate.held += Names(rooms=rooms)
    for one, other in pairwise(rooms):
        way = phrases.one_of("<->", "->", "<->")
        takes = phrases.one_of(
            "", "", f" takes {phrases.time(1, 3)}", f" takes {phrases.span(1, 2)}"
        )
        estate.add(f"passage {one} {way} {other}{takes}")
    estate.bits -= 3
    estate.ways //= 2
    if phrases.chance(5):
        estate.add(f"walker guest[1..2] starts in {rooms[0]}")
        estate.held += Names(walkers=("guest[1]", "guest[2]"))
        estate.bits -= 2
        estate.ways //= 2
    else:
        estate.add(f"walker guest starts in {phrases.one_of(*rooms)}")
        estate.held += Names(walkers=("guest",))
    if phrases.chance(3):
        condition = phrases.condition(estate.held, 1)
        estate.add(f"passage {rooms[-1]} -> {rooms[0]} when {condition}")


def _hands(estate: Estate) -> None:
    """Draw what people choose: free choices, buttons, levers."""
    phrases = estate.phrases
    for number in range(phrases.number(1, 3)):
        name = f"hand{number}"
        sort = phrases.number(0, 6)
        if sort <= 2 and estate.pays(0, 2):
            estate.add(f"free {name}: signal")
            estate.held += Names(conditions=(name,))
        elif sort == 3 and estate.pays(0, 3):
            estate.add(f"free {name}: one of ({', '.join(OPTIONS[0])})")
            estate.held += Names(choices=((name, OPTIONS[0]),))
        elif sort == 4 and estate.pays(0, 3):
            estate.add(f"free {name}: count 0 .. 2")
            estate.held += Names(counts=(Count(name, 0, 2),))
        else:
            hand = phrases.draw(st.sampled_from(HANDS))
            if estate.pays(hand.bits, 2):
                room = ""
                if estate.held.rooms and phrases.chance(2):
                    room = f"room: {phrases.one_of(*estate.held.rooms)}"
                estate.add(f"{name} : {hand.text(phrases, room)}")
                estate.held += hand.held(name) + hand.now(name)


# --- kept state -----------------------------------------------------------------------------------


def _kept(estate: Estate) -> None:
    """Draw kept state and how it changes."""
    phrases, names = estate.phrases, list[tuple[str, str, Names]]()
    for number in range(phrases.number(0, 3)):
        name, sort = f"kept{number}", phrases.one_of("flag", "count", "choice", "timer", "timer")
        if estate.pays(1 if sort == "flag" else 2):
            names.append((name, sort, _keep(estate, name, sort)))
    for _, _, found in names:
        estate.held += found
    for name, sort, _ in names:
        _change(estate, name, sort)


def _keep(estate: Estate, name: str, sort: str) -> Names:
    phrases = estate.phrases
    match sort:
        case "flag":
            estate.add(f"keep {name}: flag{phrases.one_of('', ' = yes', ' = no')}")
            return Names(conditions=(name,))
        case "count":
            low = phrases.number(0, 1)
            estate.add(
                f"keep {name}: count {low} .. {low + 2}{phrases.one_of('', f' = {low + 1}')}"
            )
            return Names(counts=(Count(name, low, low + 2),))
        case "choice":
            options = phrases.draw(st.sampled_from(OPTIONS))
            start = f" = {phrases.one_of(*options)}" if phrases.chance(2) else ""
            estate.add(f"keep {name}: one of ({', '.join(options)}){start}")
            return Names(choices=((name, options),))
        case _:
            start = f" = {phrases.ticks(phrases.number(1, 2))}" if phrases.chance(2) else ""
            estate.add(f"keep {name}: timer{start}")
            return Names(timers=(name,))


def _change(estate: Estate, name: str, sort: str) -> None:
    phrases, held = estate.phrases, estate.held
    cases: list[tuple[str, str]] = []
    for _ in range(phrases.number(1, 2)):
        match sort:
            case "flag":
                value = phrases.condition(held, 1)
            case "count":
                amount = phrases.amount(held)
                low = next(one.low for one in held.counts if one.name == name)
                value = phrases.one_of(f"{name} + 1", f"{name} - 1", f"{amount} mod 3 + {low}")
            case "choice":
                options = next(its for one, its in held.choices if one == name)
                value = phrases.pick(held, options)
            case _:
                value = phrases.span(1, 3)
                if phrases.chance(6):
                    value = f"{phrases.ticks(3)} - {name}"
        cases.append((value, phrases.condition(held, 1)))
    always = sort == "choice" and phrases.chance(6)
    texts = [f"{value} when {condition}" for value, condition in cases]
    if always:
        texts[-1] = cases[-1][0]
    word = "loads" if sort == "timer" else "becomes"
    estate.add(f"{name} {word} {', '.join(texts)}")
    if sort == "timer" and phrases.chance(2):
        estate.add(f"{name} runs while {phrases.condition(held, 1)}")


def _rows(estate: Estate) -> None:
    """Draw a row of flags, each following the one before it, by a loop."""
    phrases = estate.phrases
    if not estate.pays(3):
        return
    estate.add("keep lit[1..3]: flag")
    first = phrases.condition(estate.held, 1)
    estate.held += Names(("lit[1]", "lit[3]"), rows=("lit", "lit[1..2]"))
    estate.add(f"lit[1] becomes {first}")
    barred = phrases.condition(estate.held, 1)
    if phrases.chance(2):
        estate.add(f"for i in 2..3 {{ lit[i] becomes lit[i - 1] and not ({barred}) }}")
    else:
        estate.add(
            f"for i in 1..2 {{ lit[i + 1] becomes yes when lit[i] or {barred}, no when lit[i] }}"
        )
    if phrases.chance(2):
        estate.add("let upto[0] = no", "for i in 1..3 { let upto[i] = upto[i - 1] or lit[i] }")
        estate.held += Names(("upto[2]",), rows=("upto",))


def _lets(estate: Estate) -> None:
    """Draw names for conditions and amounts."""
    phrases = estate.phrases
    if phrases.chance(3):
        estate.add(f"let some = {phrases.condition(estate.names, 1)}")
        estate.now += Names(conditions=("some",))
    if phrases.chance(4):
        estate.add(f"let much = {phrases.amount(estate.names)}")
        estate.now += Names(counts=(Count("much", 0, 9),))


# --- parts ----------------------------------------------------------------------------------------


def _parts(estate: Estate) -> None:
    """Draw parts and kinds, all that feeds them, and what drives their inputs."""
    phrases = estate.phrases
    placed: list[tuple[str, Standard | Kind]] = []
    for number in range(phrases.number(1, 4)):
        name = f"part{number}"
        if phrases.chance(3):
            kind = own_kind(phrases, f"sort{number}", estate.held.rooms)
            if estate.pays(kind.bits, kind.ways):
                estate.kinds.append(kind.text)
                placed.append((name, kind))
                estate.add(f"{name} : {kind.call(phrases)}")
        else:
            standard = phrases.draw(st.sampled_from(PLACED))
            if "plate" in standard.pattern and not estate.held.rooms:
                continue
            if estate.pays(standard.bits):
                placed.append((name, standard))
                room = phrases.one_of(*estate.held.rooms) if estate.held.rooms else ""
                estate.add(f"{name} : {standard.text(phrases, room)}")
    for name, part in placed:
        estate.held += part.held(name)
        if "use" in part.needs and not estate.head:
            estate.head.append('use "kinds/shed.latch"')
    powered = {name: part.passes for name, part in placed if part.powered}
    if powered or phrases.chance(5):
        _power(estate, powered)
    for name, part in placed:
        _drive(estate, name, part)
        estate.now += part.now(name)


def _drive(estate: Estate, name: str, part: Standard | Kind) -> None:
    phrases = estate.phrases
    for port in part.inputs:
        signals = estate.names.conditions
        if signals and phrases.chance(5):
            source = phrases.one_of(*signals)
            if " " not in source and source not in {"quiet", "calm_now"}:
                estate.add(f"{source} -> {name}.{port}")
                continue
        estate.add(f"{name}.{port} when {phrases.condition(estate.names)}")


def _power(estate: Estate, powered: dict[str, bool]) -> None:
    """Draw a supply and share it among parts; what is left over feeds a lamp or a load.

    `powered` tells of each part whether units go on from it.
    """
    phrases = estate.phrases
    amount = phrases.number(1, 2 * max(1, len(powered)))
    drops = f", drops: {phrases.number(0, amount)}" if phrases.chance(3) else ""
    estate.add(f"mains : supply({amount}{drops})")
    if drops:
        estate.add(f"mains.told when {phrases.condition(estate.held, 1)}")
    estate.now += Names(counts=(Count("mains.out", 0, amount),))
    outs = ["mains"]
    if phrases.chance(6):
        estate.add("spring : supply(1)", "joined : busbar", "mains -> joined.feed[1]")
        estate.add("spring -> joined.feed[2]")
        outs = ["joined"]
    if phrases.chance(5) and estate.pays(1):
        estate.add("switch : relay", f"{outs[0]} -> switch")
        estate.add(f"switch.coil when {phrases.condition(estate.held, 1)}")
        outs = ["switch.make", "switch.break"]
        estate.held += Names(conditions=("switch.pulled",))
    outs = _shared(estate, outs, len(powered))
    fed = list(powered)
    if len(fed) > 1 and powered[fed[0]] and phrases.chance(3):
        estate.add(f"{outs.pop(0)} -> {fed[0]} -> {fed[1]}")
        fed = fed[2:]
    for name in fed:
        estate.add(f"{outs.pop(0)} -> {name}")
    if outs and phrases.chance(2):
        end = phrases.one_of("lamp", "bell", "load(2)", "lamp(draw: 2)")
        estate.add(f"last : {end}", f"{outs[0]} -> last")
        estate.now += Names(conditions=("last", "last.starving", "last.fed"))
        if phrases.chance(2):
            estate.add("starving allowed: last")


def _shared(estate: Estate, outs: list[str], wanted: int) -> list[str]:
    """Split outputs until there are enough of them."""
    number = 0
    while len(outs) < wanted or (number == 0 and estate.phrases.chance(3)):
        name, first = f"share{number}", outs.pop(0)
        number += 1
        if estate.phrases.chance(2):
            estate.add(f"{name} : tap({estate.phrases.number(1, 2)})", f"{first} -> {name}")
            outs += [f"{name}.side", f"{name}.rest"]
        else:
            estate.add(f"{name} : divider(ways: 2)", f"{first} -> {name}")
            outs += [f"{name}.way[1]", f"{name}.way[2]"]
        estate.now += Names(counts=(Count(outs[-1], 0, 4), Count(outs[-2], 0, 4)))
    return outs
