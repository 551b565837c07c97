"""What expressions mean, as code of one tick: by docs/semantics.md and the grammar alone."""

import operator
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import cast

from tests.oracles.afresh.letters import Node, UnsureError
from tests.oracles.afresh.placing import (
    Placed,
    Scope,
    Site,
    Thing,
    is_power,
    main_output,
)
from tests.oracles.afresh.values import (
    SETTLED,
    Amount,
    Choice,
    Clock,
    Flag,
    Free,
    Named,
    Room,
    Row,
    Slot,
    Span,
    Turned,
    Value,
)

_UNITS = {"ms": 10**6, "s": 10**9, "min": 60 * 10**9, "h": 3600 * 10**9}
_FOLDS: dict[str, tuple[str, Callable[[int, int], int]]] = {
    "+": ("+", operator.add),
    "-": ("-", operator.sub),
    "*": ("*", operator.mul),
    "div": ("//", operator.floordiv),
    "mod": ("%", operator.mod),
}
_WHOLE = {"+", "-", "*"}
_COMPARED: dict[str, tuple[str, Callable[[int, int], bool]]] = {
    "=": ("==", operator.eq),
    "!=": ("!=", operator.ne),
    "<": ("<", operator.lt),
    "<=": ("<=", operator.le),
    ">": (">", operator.gt),
    ">=": (">=", operator.ge),
}
_TURNED = {"<": ">", ">": "<", "<=": ">=", ">=": "<="}
_TALLIES = {"at most": "<=", "at least": ">=", "exactly": "=="}


class Meaning(Placed):
    """A design whose expressions are turned into code."""

    def __init__(self, text: str, folder: Path) -> None:
        """Read and place a design; nothing of it has a meaning yet."""
        self.lines: list[str] = []
        self.slots: list[Slot] = []
        self.free: list[Free] = []
        self.edges: list[tuple[int, str]] = []
        self.at: dict[Thing, int] = {}
        self._known: dict[Thing, Value] = {}
        self._asked: set[object] = set()
        self._used: dict[Scope, dict[str, Value]] = {}
        self._running: dict[Thing, str] = {}
        super().__init__(text, folder)

    # --- what is fixed ----------------------------------------------------------------------------

    def number(self, node: Node, site: Site) -> int:
        """Return a number that is fixed."""
        found = self.of(node, site)
        if isinstance(found, Amount) and isinstance(found.code, int):
            return found.code
        raise UnsureError("a number that is not fixed")

    def ticks(self, node: Node, site: Site) -> int:
        """Return a time that is fixed, in ticks."""
        found = self.of(node, site)
        if isinstance(found, Span) and found.least == found.most:
            return self.whole(found.least)
        raise UnsureError("a time that is not fixed")

    def whole(self, time: int) -> int:
        """Return a time in ticks."""
        ticks, rest = divmod(time, self.length)
        if rest:
            raise UnsureError("a time off the tick")
        return ticks

    @property
    def length(self) -> int:
        """How long a tick is, in ns."""
        return self.tick[1] * _UNITS[self.tick[2]]

    # --- code -------------------------------------------------------------------------------------

    def line(self, code: str) -> str:
        """Write a line, and return the name of what it works out."""
        name = f"v{len(self.lines)}"
        self.lines.append(f"{name} = {code}")
        return name

    def slot(self, start: object, left: Sequence[object]) -> int:
        """Make a place in the state."""
        self.slots.append(Slot(start, left))
        return len(self.slots) - 1

    def flag(self, value: Value) -> str:
        """Return the code of a condition; that of a part is its first output."""
        match value:
            case Flag(code):
                return code
            case Named(thing) if thing.inside is not None:
                return self._signal(self.meaning(main_output(thing))).code
            case _:
                raise UnsureError(f"no condition: {type(value).__name__}")

    def condition(self, node: Node | None, site: Site) -> str:
        """Return the code of a condition, True where there is none."""
        return "True" if node is None else self.flag(self.of(node, site))

    def _signal(self, value: Value) -> Flag:
        """Return whether something is live: of power, whether there is any."""
        if isinstance(value, Amount):
            return Flag(f"({value.code} > 0)")
        return Flag(self.flag(value))

    # --- what has a name --------------------------------------------------------------------------

    def meaning(self, thing: Thing) -> Value:
        """Return what a thing means."""
        if thing not in self._known:
            with self._without_a_loop(thing):
                self._known[thing] = self._meant(thing)
        return self._known[thing]

    @contextmanager
    def _without_a_loop(self, asked: object) -> Iterator[None]:
        """Work something out that may not ask for itself within a tick."""
        if asked in self._asked:
            raise UnsureError("a loop within a tick")
        self._asked.add(asked)
        yield
        self._asked.discard(asked)

    def _meant(self, thing: Thing) -> Value:
        match thing.sort:
            case "keep":
                return self._kept(thing)
            case "free":
                return self._chosen(thing)
            case "value":
                return self.of(thing.node, thing.site, thing.options)
            case "let":
                found = self.of(thing.node[2], thing.site)
                part = isinstance(found, Named) and found.thing.inside is not None
                return self._written(Flag(self.flag(found)) if part else found)
            case "in" | "out":
                return self._written(self._port(thing))
            case "used":
                return self.used(thing.site.scope, thing.node[1])
            case "part" | "walker":
                return Named(thing)
            case "room":
                return Room(thing.node[1])
            case _:
                raise UnsureError(thing.sort)

    def _written(self, value: Value) -> Value:
        """Write what is not fixed to a line of its own."""
        match value:
            case Flag(code) if code not in SETTLED:
                return Flag(self.line(code))
            case Amount(str(code)):
                return Amount(self.line(code))
            case Choice(code, options):
                return Choice(self.line(code), options)
            case _:
                return value

    def _kept(self, thing: Thing) -> Value:
        _, _, sort, start = thing.node
        match sort:
            case ("timer",):
                shown = 0 if start is None else self.ticks(start, thing.site)
                return Clock(self.slot(shown, ()), thing)
            case ("flag",):
                code = "False" if start is None else self.flag(self.of(start, thing.site))
                if code not in SETTLED:
                    raise UnsureError("a start that is not fixed")
                return Flag(self._shown(thing, SETTLED[code], (False, True)))
            case ("count", _):
                least, most = self.bounds(thing)
                begins = least if start is None else self.number(start, thing.site)
                return Amount(self._shown(thing, begins, range(least, most + 1)))
            case ("choice", options):
                name = options[0] if start is None else self._option(start, thing.site, options)
                return Choice(self._shown(thing, name, options), options)
            case _:
                raise UnsureError(f"keeps {sort[0]}")

    def _shown(self, thing: Thing, start: object, left: Sequence[object]) -> str:
        """Give what is kept a place in the state, and return the code of what it shows."""
        self.at[thing] = self.slot(start, left)
        return f"s[{self.at[thing]}]"

    def bounds(self, thing: Thing) -> tuple[int, int]:
        """Return the ends of the range of a count."""
        _, least, most = thing.node[2][1]
        return self.number(least, thing.site), self.number(most, thing.site)

    def _option(self, node: Node, site: Site, options: Sequence[str]) -> str:
        found = self.of(node, site, options)
        names = [name for name in options if isinstance(found, Choice) and found.code == repr(name)]
        if not names:
            raise UnsureError("a start that is not fixed")
        return names[0]

    def _chosen(self, thing: Thing) -> Value:
        code = f"c[{len(self.free)}]"
        match thing.node[2]:
            case ("signal",):
                self.free.append(Free((False, True), presses=True))
                return Flag(code)
            case ("count", _):
                least, most = self.bounds(thing)
                self.free.append(Free(range(least, most + 1), presses=True))
                return Amount(code)
            case ("choice", options):
                self.free.append(Free(options, presses=True))
                return Choice(code, options)
            case other:
                raise UnsureError(f"free {other[0]}")

    def _port(self, thing: Thing) -> Value:
        """What arrives at an input, or what an output gives."""
        if thing.sort == "out" and thing.node[3] is not None:
            found = self.of(thing.node[3], thing.site)
        elif thing.wire is not None:
            found = self.meaning(thing.wire)
        elif thing.asked is not None:
            found = Flag(self.flag(self.of(*thing.asked)))
        elif thing.sort == "in":
            found = Amount(0) if is_power(thing) else Flag(str(bool(thing.node[3])))
        else:
            raise UnsureError("an output that nothing drives")
        if is_power(thing) and not isinstance(found, Amount):
            raise UnsureError("no power")
        return found if is_power(thing) else self._signal(found)

    def used(self, scope: Scope, word: str) -> Value:
        """Return `fed`, `starving` or `spare` of a part that uses units."""
        if scope not in self._used:
            assert scope.uses is not None
            node, ref, site = scope.uses
            need, got = self.number(node, site), self.meaning(self.thing(ref, site))
            if not isinstance(got, Amount):
                raise UnsureError("uses what is no power")
            fed = self.line(f"({got.code} >= {need})")
            self._used[scope] = {
                "fed": Flag(fed),
                "starving": Flag(self.line(f"(0 < {got.code} < {need})")),
                "spare": Amount(self.line(f"({got.code} - {need} if {fed} else 0)")),
            }
        return self._used[scope][word]

    def running(self, thing: Thing) -> str:
        """Return whether a timer runs."""
        if thing not in self._running:
            with self._without_a_loop(("runs", thing)):
                run = "True" if thing.runs is None else self.condition(*thing.runs)
            self._running[thing] = run
        return self._running[thing]

    # --- expressions ------------------------------------------------------------------------------

    def of(  # noqa: C901 - one case a form
        self, node: Node, site: Site, options: Sequence[str] | None = None
    ) -> Value:
        """Return what an expression means; `options`: those of the choice that it is set beside.

        Raises:
            UnsureError: nothing that is known.
        """
        match node:
            case ("number", int(number)):
                return Amount(number)
            case ("flag", yes):
                return Flag(str(yes))
            case ("time", number, unit):
                size = self.length if unit.startswith("tick") else _UNITS[unit]
                return Span(number * size, number * size)
            case ("range", least, most):
                return self._range(self.of(least, site), self.of(most, site))
            case ("anywhere",):
                return Room(None)
            case ("ref", steps):
                return self._named(steps, site, options)
            case ("not", inner):
                code = self.condition(inner, site)
                return Flag(str(not SETTLED[code]) if code in SETTLED else f"(not {code})")
            case ("and" | "or" as word, one, two):
                return self._both(word, self.condition(one, site), self.condition(two, site))
            case ("starts" | "ends" as word, inner):
                return self._edge(word, self.of(inner, site))
            case ("compare", relation, one, two):
                return self._compared(relation, *self._beside(one, two, site))
            case ("binary", fold, one, two):
                return self._binary(fold, self.of(one, site), self.of(two, site))
            case ("choose", asked, one, two):
                first = self.of(one, site, options)
                if options is None and isinstance(first, Choice):
                    options = first.options
                return self._chosen_by(
                    self.condition(asked, site), first, self.of(two, site, options)
                )
            case ("tally", word, number, items):
                least = None if number is None else self.number(number, site)
                return self._tally(word, least, self._items(items, site))
            case _:
                return self.people(node, site)

    @staticmethod
    def _range(least: Value, most: Value) -> Span:
        if isinstance(least, Span) and isinstance(most, Span):
            return Span(least.least, most.least)
        raise UnsureError("a range of no times")

    def _named(self, steps: tuple[Node, ...], site: Site, options: Sequence[str] | None) -> Value:
        name, index = steps[0]
        if len(steps) == 1 and index is None:
            if options is not None and name in options:
                return Choice(repr(name), options)
            if name in site.env:
                return Amount(site.env[name])
        found = self.find(("ref", steps), site)
        return Row(found) if isinstance(found, dict) else self.meaning(found)

    @staticmethod
    def _both(word: str, one: str, two: str) -> Flag:
        if one in SETTLED and two in SETTLED:
            both = SETTLED[one], SETTLED[two]
            return Flag(str(all(both) if word == "and" else any(both)))
        return Flag(f"({one} {word} {two})")

    def _edge(self, word: str, inner: Value) -> Flag:
        if isinstance(inner, Clock):
            if word == "starts":
                raise UnsureError("a timer that starts")
            return Flag(f"(s[{inner.place}] == 1 and {self.running(inner.thing)})")
        now = self.line(self.flag(inner))
        place = self.slot(start=False, left=(False,))
        self.edges.append((place, now))
        before = f"s[{place}]"
        return Flag(
            f"({now} and not {before})" if word == "starts" else f"({before} and not {now})"
        )

    def _beside(self, one: Node, two: Node, site: Site) -> tuple[Value, Value]:
        """Return both sides; a bare name that means nothing is an option of the other side."""
        if self._bare(one, site):
            right = self.of(two, site)
            options = right.options if isinstance(right, Choice) else None
            return self.of(one, site, options), right
        left = self.of(one, site)
        return left, self.of(two, site, left.options if isinstance(left, Choice) else None)

    @staticmethod
    def _bare(node: Node, site: Site) -> bool:
        match node:
            case ("ref", ((str(name), None),)):
                return name not in site.scope.names and name not in site.env
            case _:
                return False

    def _compared(self, relation: str, left: Value, right: Value) -> Flag:
        if isinstance(left, Span) and isinstance(right, Clock):
            return self._compared(_TURNED.get(relation, relation), right, left)
        sign, work_out = _COMPARED[relation]
        match left, right:
            case Clock(place), Span(least, most) if least == most:
                return Flag(f"(s[{place}] {sign} {self.whole(least)})")
            case Amount(int(one)), Amount(int(two)):
                return Flag(str(work_out(one, two)))
            case Amount(one), Amount(two):
                return Flag(f"({one} {sign} {two})")
            case Span(one, one_too), Span(two, two_too) if one == one_too and two == two_too:
                return Flag(str(work_out(one, two)))
            case Choice(one, options), Choice(two, _):
                fixed = {repr(name) for name in options}
                if {one, two} <= fixed:
                    return Flag(str((one == two) is (relation == "=")))
                return Flag(f"({one} {sign} {two})")
            case Room(one), Room(two):
                return Flag(str((one == two) is (relation == "=")))
            case _:
                return Flag(f"({self.flag(left)} {sign} {self.flag(right)})")

    def _binary(self, fold: str, left: Value, right: Value) -> Value:
        sign, work_out = _FOLDS[fold]
        match left, right:
            case Amount(int(one)), Amount(int(two)) if two or fold in _WHOLE:
                return Amount(work_out(one, two))
            case Amount(one), Amount(two) if two != 0 or fold in _WHOLE:
                return Amount(f"({one} {sign} {two})")
            case Span(), Span() if fold == "+":
                return Span(left.least + right.least, left.most + right.most)
            case Span(), Span() if fold == "-":
                return Span(left.least - right.most, left.most - right.least)
            case (Span(least, most), Amount(int(by))) | (Amount(int(by)), Span(least, most)) if (
                fold == "*"
            ):
                return Span(least * by, most * by)
            case Span(least, most), Amount(int(by)) if fold == "div" and by:
                return Span(least // by, most // by)
            case Span(least, most), Clock() if fold == "-" and least == most:
                return Turned(least, right)
            case _:
                raise UnsureError(f"{type(left).__name__} {fold} {type(right).__name__}")

    def _chosen_by(self, asked: str, one: Value, two: Value) -> Value:
        if asked in SETTLED and not isinstance(one, Flag | Choice):
            return one if SETTLED[asked] else two
        match one, two:
            case Amount(first), Amount(second):
                return one if first == second else Amount(f"({first} if {asked} else {second})")
            case Choice(first, options), Choice(second, _):
                return Choice(f"({first} if {asked} else {second})", options)
            case _:
                return Flag(f"({self.flag(one)} if {asked} else {self.flag(two)})")

    def _items(self, nodes: Sequence[Node], site: Site) -> list[Value]:
        found: list[Value] = []
        for value in (self.of(node, site) for node in nodes):
            row = isinstance(value, Row)
            found += map(self.meaning, cast("Row", value).things.values()) if row else [value]
        return found

    def _tally(self, word: str, number: int | None, items: Sequence[Value]) -> Value:
        if word == "sum":
            amounts = [one.code for one in items if isinstance(one, Amount)]
            if all(isinstance(one, int) for one in amounts) and len(amounts) == len(items):
                return Amount(sum(map(int, amounts)))
            flags = [one for one in items if not isinstance(one, Amount)]
            terms = [*map(str, amounts), *(f"int({self.flag(one)})" for one in flags)]
            return Amount(f"({' + '.join(terms)})")
        flags_of_all = f"[{', '.join(map(self.flag, items))}]"
        match word:
            case "all" | "any":
                return Flag(f"{word}({flags_of_all})")
            case "none":
                return Flag(f"(not any({flags_of_all}))")
            case _:
                return Flag(f"(sum({flags_of_all}) {_TALLIES[word]} {number})")

    def people(self, node: Node, site: Site) -> Value:
        """Return what an expression about walkers means: known to the class that knows them."""
        del site
        raise UnsureError(str(node[0]))
