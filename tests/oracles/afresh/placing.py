"""Places a design: the parts in it and the parts in them, rows, loops, arguments, wires."""

from abc import ABC, abstractmethod
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

from tests.oracles.afresh.letters import Node, UnsureError
from tests.oracles.afresh.reading import Block, File, read

Env = Mapping[str, int]
"""What the names of loops stand for."""

USED = ("fed", "starving", "spare")
"""What a part that uses units knows of them."""

STANDARD = Path(__file__).parents[3] / "grammar" / "parts.latch"


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind, and the kinds that are found from where it stands."""

    block: Block
    near: Mapping[str, "Kind"]


def kinds_of(file: File, folder: Path) -> dict[str, Kind]:
    """Return the kinds in reach of a file: its own, those of used files, the standard ones."""
    return _in_reach(file, folder, _standard())


@cache
def _standard() -> Mapping[str, Kind]:
    found: dict[str, Kind] = {}
    found |= _own(read(STANDARD.read_text(encoding="utf-8")), found)
    return found


def _in_reach(file: File, folder: Path, standard: Mapping[str, Kind]) -> dict[str, Kind]:
    found = dict(standard)
    for name in file.used:
        path = folder / name
        used = read(path.read_text(encoding="utf-8"))
        found |= _own(used, _in_reach(used, path.parent, standard))
    found |= _own(file, found)
    return found


def _own(file: File, near: Mapping[str, Kind]) -> dict[str, Kind]:
    return {one.name: Kind(one, near) for one in file.blocks if one.sort == "kind"}


@dataclass(eq=False, slots=True)
class Scope:
    """A placed part, or the design: its names and lines, and the units that it uses."""

    kind: Kind
    above: "Scope | None" = None
    names: dict[str, "Thing | dict[int, Thing]"] = field(default_factory=dict)
    lines: list[tuple[Node, Env]] = field(default_factory=list)
    uses: tuple[Node, Node, "Site"] | None = None

    def things(self) -> Iterator["Thing"]:
        """Yield all that has a name here."""
        for one in self.names.values():
            yield from one.values() if isinstance(one, dict) else (one,)


class Site(NamedTuple):
    """Where an expression stands: in which part, within which loops."""

    scope: Scope
    env: Env


@dataclass(eq=False, slots=True)
class Thing:
    """What a name means: `sort` is the word of its line, or room, value, used.

    `node` is its line, or the value of a parameter or setting, whose `options` may be known.
    """

    sort: str
    site: Site
    node: Node
    options: Sequence[str] | None = None
    inside: Scope | None = None
    wire: "Thing | None" = None
    asked: tuple[Node, Site] | None = None
    cases: tuple[Sequence[tuple[Node, Node | None]], Site] | None = None
    runs: tuple[Node, Site] | None = None


class Placed(ABC):
    """A design with everything in its place; what expressions mean is said by a class below."""

    def __init__(self, text: str, folder: Path) -> None:
        """Read a text that stands in a folder, and place its first design."""
        file = read(text)
        design = next(one for one in file.blocks if one.sort == "design")
        self.tick, self.tolerance = ("time", 100, "ms"), 0
        self.rooms: list[str] = []
        self.walkers: list[Thing] = []
        self.passages: list[tuple[Node, Env]] = []
        self.claims: list[tuple[str, Node, Site]] = []
        self.assumptions: list[tuple[Node, Site]] = []
        self.excused: list[Scope] = []
        self.one_press = False
        self.scopes: list[Scope] = []
        for line in design.lines:
            if line[0] == "tick":
                self.tick = ("time", line[1], line[2])
            elif line[0] == "tolerance":
                self.tolerance = line[1]
        self.top = Scope(Kind(design, kinds_of(file, folder)))
        self._place(self.top, [], None)
        for scope in self.scopes:
            for line, env in scope.lines:
                self._join(line, Site(scope, env))

    @abstractmethod
    def number(self, node: Node, site: Site) -> int:
        """Return a number that is fixed."""

    # --- what has a name --------------------------------------------------------------------------

    def _place(
        self, scope: Scope, given: Sequence[tuple[str | None, Node]], caller: Site | None
    ) -> None:
        """Give a meaning to the names of a part, with its arguments, and of the parts in it."""
        self.scopes.append(scope)
        block, home = scope.kind.block, Site(scope, {})
        names = [one[0] for one in block.parameters]
        arguments = {name or names[place]: node for place, (name, node) in enumerate(given)}
        for name, sort, fallback in block.parameters:
            options = sort[1] if sort[0] == "choice" else None
            if name in arguments and caller is not None:
                scope.names[name] = Thing("value", caller, arguments[name], options)
            elif fallback is not None:
                scope.names[name] = Thing("value", home, fallback, options)
            else:
                raise UnsureError(f"{name} is not given")
        for line in block.lines:
            if line[0] == "setting":
                scope.names[line[1]] = Thing("value", home, line[2])
        self._declare(block.lines, home)
        for word in USED if scope.uses is not None else ():
            scope.names.setdefault(word, Thing("used", home, ("used", word)))
        for thing in list(scope.things()):
            if thing.sort == "part":
                self._place_part(thing)

    def _place_part(self, thing: Thing) -> None:
        _, _, name, arguments = thing.node
        kind = thing.site.scope.kind.near.get(name)
        if kind is None:
            raise UnsureError(f"kind {name}")
        thing.inside = Scope(kind, thing.site.scope)
        self._place(thing.inside, arguments, thing.site)

    def _declare(self, lines: Sequence[Node], site: Site) -> None:
        loops = [line for line in lines if line[0] == "for"]
        for line in lines:
            if line[0] != "for":
                site.scope.lines.append((line, site.env))
                self._name(line, site)
        for _, name, (_, least, most), body in loops:
            for number in range(self.number(least, site), self.number(most, site) + 1):
                self._declare(body, Site(site.scope, {**site.env, name: number}))

    def _name(self, line: Node, site: Site) -> None:
        match line[0]:
            case "part" | "let" | "keep" | "free" | "in" | "out" | "walker":
                name = line[1][0]
                for index in self.indices(line[1], site):
                    thing = Thing(line[0], site, line)
                    if line[0] == "walker":
                        self.walkers.append(thing)
                    if index is None:
                        site.scope.names[name] = thing
                        continue
                    row = site.scope.names.setdefault(name, {})
                    assert isinstance(row, dict)
                    row[index] = thing
            case "rooms":
                for room in line[1]:
                    site.scope.names[room] = Thing("room", site, ("room", len(self.rooms)))
                    self.rooms.append(room)
            case "uses":
                site.scope.uses = (line[1], line[2], site)
            case "one press":
                self.one_press = True
            case _:
                pass  # it has no name

    def indices(self, head: Node, site: Site) -> Sequence[int | None]:
        """Return the numbers of a row, None for what stands alone."""
        match head[1]:
            case None:
                return [None]
            case ("range", least, most):
                return range(self.number(least, site), self.number(most, site) + 1)
            case index:
                return [self.number(index, site)]

    # --- what is looked up ------------------------------------------------------------------------

    def find(self, ref: Node, site: Site) -> Thing | dict[int, Thing]:
        """Return what a path of names means: a thing or a row of them.

        Raises:
            UnsureError: nothing that is known.
        """
        found: Thing | dict[int, Thing] = Thing("part", site, ref, inside=site.scope)
        for name, index in ref[1]:
            if isinstance(found, Thing):
                found = self._member(found, name, index, site)
                continue
            each = {place: self._member(one, name, index, site) for place, one in found.items()}
            found = {place: one for place, one in each.items() if isinstance(one, Thing)}
            if len(found) < len(each):
                raise UnsureError("rows of rows")
        return found

    def _member(
        self, part: Thing, name: str, index: Node | None, site: Site
    ) -> Thing | dict[int, Thing]:
        """Return what a name means in a part: a thing, a row, or a piece of a row."""
        found = None if part.inside is None else part.inside.names.get(name)
        if found is None or (index is not None and isinstance(found, Thing)):
            raise UnsureError(f"name {name}")
        if isinstance(found, Thing) or index is None:
            return found
        numbers = [one for one in self.indices((name, index), site) if one is not None]
        if not found.keys() >= set(numbers):
            raise UnsureError(f"name {name} with another index")
        piece = {number: found[number] for number in numbers}
        return piece if index[0] == "range" else piece[numbers[0]]

    def thing(self, ref: Node, site: Site) -> Thing:
        """Return the one thing that a path of names means.

        Raises:
            UnsureError: it is none, or a row.
        """
        found = self.find(ref, site)
        if isinstance(found, dict):
            raise UnsureError("a row, where one thing is looked for")
        return found

    # --- what is joined ---------------------------------------------------------------------------

    def _join(self, line: Node, site: Site) -> None:  # noqa: C901 - one case a line
        match line:
            case ("wire", stops):
                for source, target in pairwise(stops):
                    self._wire(self.thing(source, site), self.thing(target, site))
            case ("drive", ref, asked):
                self.thing(ref, site).asked = (asked, site)
            case ("becomes" | "loads", ref, cases):
                self.thing(ref, site).cases = (cases, site)
            case ("runs", ref, asked):
                self.thing(ref, site).runs = (asked, site)
            case ("passage", *_):
                self.passages.append((line, site.env))
            case ("starving", refs):
                inside = [self.thing(one, site).inside for one in refs]
                self.excused += [one for one in inside if one is not None]
            case ("claim", head, sentence):
                for index in self.indices(head, site):
                    name = head[0] if index is None else f"{head[0]}[{index}]"
                    self.claims.append((name, sentence, site))
            case ("assume", sentence):
                self.assumptions.append((sentence, site))
            case _:
                pass  # it joins nothing

    @staticmethod
    def _wire(source: Thing, target: Thing) -> None:
        """Wire a source, of a part its first output, to a target, of a part the first that fits."""
        if source.inside is not None:
            source = main_output(source)
        power = is_power(source)
        if target.inside is not None:
            inputs = [one for one in target.inside.things() if one.sort == "in"]
            fitting = [one for one in inputs if is_power(one) is power]
            if not fitting:
                raise UnsureError("no input fits")
            target = fitting[0]
        target.wire = source


def main_output(part: Thing) -> Thing:
    """Return the first output of a part.

    Raises:
        UnsureError: it has none.
    """
    assert part.inside is not None
    for one in part.inside.things():
        if one.sort == "out":
            return one
    raise UnsureError("a part without an output")


def is_power(thing: Thing) -> bool:
    """Whether a thing is a port for power."""
    return thing.sort in {"in", "out"} and thing.node[2] == "power"
