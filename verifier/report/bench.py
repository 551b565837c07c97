"""A kind of part on a workbench: a small design around it, and a canonical way of trying it out.

The bench gives every power input power, every signal input a hand, and a walker two rooms where the
kind asks for one. A kind without any signal input is tried by changing its power instead.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import assert_never

from verifier.design.model import Design, Net, Part
from verifier.design.resolve import resolve
from verifier.design.scope import Unit
from verifier.simulate.told import Act, Goes, Held
from verifier.source.diagnostic import Collector, Severity
from verifier.source.text import Source
from verifier.syntax import tree
from verifier.syntax.parse import parse
from verifier.syntax.words import TAKEN
from verifier.system.model import System

_TICKS = ("100 ms", "10 ms", "1 ms")  # tried in turn: a kind may hold spans that need a finer one
_SPANS = ("2 s", "3 s", "1 s")  # given to parameters that want a time, in turn
_UNITS, _COUNT = 3, 2
_PLENTY, _LITTLE = 8, 2  # units
_SHORT = 3  # ticks of a short press
_REST = 5  # ticks between one thing and the next, beside what a timer may take
_MOST_TOGETHER = 3  # hands tried in every combination; more only one by one
_WALK = "hall"

_SOURCE = f"""
kind bench_source {{
  free high: signal
  free low: signal
  out out: power = {_PLENTY} when high else ({_LITTLE} when low else 0)
}}
"""


@dataclass(frozen=True, slots=True)
class Bench:
    """A kind on its bench; `written` is how it was placed."""

    design: Design
    part: Part
    written: str


def bench(block: tree.Block, unit: Unit) -> Bench | None:
    """Return a kind on its bench; None where no simple bench serves, which is no fault of it."""
    for tick in _TICKS:
        found = _bench(block, unit, tick)
        if found is not None:
            return found
    return None


def _bench(block: tree.Block, unit: Unit, tick: str) -> Bench | None:
    placed = _placed(block)
    rooms = _rooms(block)
    bare = _resolved("\n".join([f"tick {tick}", *rooms, placed]), unit)
    if bare is None:
        return None
    part = _part(bare, block)
    lines = [f"tick {tick}", *rooms, placed, *_wires(part)]
    design = _resolved("\n".join(lines), unit)
    return None if design is None else Bench(design, _part(design, block), placed)


def _resolved(body: str, unit: Unit) -> Design | None:
    collector = Collector()
    text = f"design bench {{\n{body}\n}}\n{_SOURCE}"
    source = Source("bench", text)
    file = parse(source, collector)
    if file is None:
        return None
    # The kind and all it uses are found behind the bench, as in a file that uses theirs.
    design = resolve(file.blocks[0], Unit(source, file, (unit, *unit.uses)), collector)
    wrong = any(one.severity is Severity.ERROR for one in collector.found)
    return None if wrong else design


def _part(design: Design, block: tree.Block) -> Part:
    return next(part for part in design.parts if part.path == _name(block))


# --- placing the kind ---


def _name(block: tree.Block) -> str:
    return _free_name(block.name.text)


def _free_name(word: str) -> str:
    """Return a name for the bench that is no word of the language and none of its own names."""
    return f"{word}_" if word in TAKEN or word in ("lawn", _WALK, "walk", "mains") else word


def _placed(block: tree.Block) -> str:
    given = [text for one in block.parameters if (text := _argument(one, block)) is not None]
    arguments = f"({', '.join(given)})" if given else ""
    return f"{_name(block)} : {block.name.text}{arguments}"


def _argument(one: tree.Parameter, block: tree.Block) -> str | None:
    """Return an argument for a parameter, None for one that is best left at its default.

    One that follows another parameter by default is given a value of its own, to show what it does.
    """
    if one.default is not None and not (
        isinstance(one.default, tree.Ref) and _is_plain(one, tree.Plain.UNITS)
    ):
        return None
    return f"{one.name.text}: {_value(one.type, one, block)}"


def _value(wanted: tree.Type, one: tree.Parameter, block: tree.Block) -> str:
    match wanted:
        case tree.PlainType(plain):
            return _plain(plain, one, block)
        case tree.CountType(limits):
            return limits.high.span.quoted
        case tree.ChoiceType(options):
            return options[0].text
        case _:
            assert_never(wanted)


def _plain(plain: tree.Plain, one: tree.Parameter, block: tree.Block) -> str:
    match plain:
        case tree.Plain.TIME:
            times = [other for other in block.parameters if _is_plain(other, tree.Plain.TIME)]
            return _SPANS[times.index(one) % len(_SPANS)]
        case tree.Plain.UNITS:
            return str(_UNITS if one.default is None else 1)
        case tree.Plain.COUNT:
            return str(_COUNT)
        case tree.Plain.ROOM:
            return _WALK
        case tree.Plain.FLAG | tree.Plain.SIGNAL | tree.Plain.POWER | tree.Plain.TIMER:
            return "no"
        case _:
            assert_never(plain)


def _is_plain(one: tree.Parameter, plain: tree.Plain) -> bool:
    return isinstance(one.type, tree.PlainType) and one.type.plain is plain


def _rooms(block: tree.Block) -> list[str]:
    wanted = [one for one in block.parameters if _is_plain(one, tree.Plain.ROOM)]
    if all(one.default is not None for one in wanted):
        return []
    return [f"rooms lawn, {_WALK}", f"passage lawn <-> {_WALK}", "walker walker_ starts in lawn"]


def _wires(part: Part) -> Iterator[str]:
    """Yield what feeds the inputs of the part."""
    signals = [net for net in part.ports_in if not net.power]
    for net in part.ports_in:
        port = net.path.removeprefix(f"{part.path}.")
        name = _free_name("".join(one if one.isalnum() else "_" for one in port).strip("_"))
        name = f"{name}_" if name == part.path else name
        if not net.power:
            yield f"free {name}: signal"
        else:
            yield f"{name} : supply({_PLENTY})" if signals else f"{name} : bench_source"
        yield f"{name} -> {net.path}"


# --- trying it out ---


def trial(bench_: Bench, system: System) -> tuple[list[Act], int]:
    """Return what is done to the part, and for how many ticks.

    Each hand makes a short press, or two where there are many; then all combinations are held.
    """
    index = {choice.name: number for number, choice in enumerate(system.choices)}
    hands = [index[free.net.path] for free in system.design.free if free.is_press]
    pause = _REST + max((timer.longest for timer in bench_.part.timers), default=0)
    acts: list[Act] = []
    tick = _REST
    together = len(hands) <= _MOST_TOGETHER
    for hand in hands:
        for _ in range(1 if together else 2):
            acts.append(Held(hand, 1, tick, tick + _SHORT))
            tick += _SHORT + pause
    if together:
        for pressed in _combinations(len(hands)):
            acts.extend(Held(hands[one], 1, tick, tick + pause) for one in pressed)
            tick += pause
    for walker in system.design.walkers:
        acts.append(Goes(walker, 1, tick))
        acts.append(Goes(walker, 0, tick + pause))
        tick += 2 * pause
    return acts, tick


def _combinations(count: int) -> Iterator[Sequence[int]]:
    """Yield all sets of hands but the empty one, each a hand more or less than the one before.

    Gray's reflected binary code (F. Gray, US patent 2,632,058, 1953).
    """
    for number in range(1, 1 << count):
        code = number ^ (number >> 1)
        yield [one for one in range(count) if code >> one & 1]


def inputs_of(bench_: Bench) -> list[Net]:
    """Return what the part can follow: its inputs, and the hands inside it."""
    own = [free.net for free in bench_.design.free if free.net.part == bench_.part.path]
    return [*bench_.part.ports_in, *own]
