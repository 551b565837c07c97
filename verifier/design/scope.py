"""Scopes: the names of one placed block, each with what it was declared as.

A scope is made for the design and for each placed part. Entries are filled in over several passes
(declare, place parts, wire, resolve), all of them in this package; nothing outside it sees them.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from verifier.design import wording
from verifier.design.model import Case, Free, Load, Net, Timer, Walker
from verifier.design.values import Env, Value
from verifier.source.diagnostic import Collector, Diagnostic
from verifier.source.text import Source, Span
from verifier.syntax import tree

MOST_PIECES = 500_000
"""No more pieces than this in one design, loops and kinds unfolded (`too-many`): turns of loops,
statements, names, numbers and operators of expressions, and places of rows that lists name."""


class Mistake(Exception):  # noqa: N818 - it is the builder's mistake, not an error of ours
    """Carries a diagnostic from the middle of an expression to its statement."""

    def __init__(self, diagnostic: Diagnostic) -> None:
        """Keep the diagnostic."""
        super().__init__(diagnostic.headline)
        self.diagnostic = diagnostic


class TooLarge(Exception):  # noqa: N818 - as Mistake
    """Carries a diagnostic out of a whole design: going on would tell the same again and again."""

    def __init__(self, diagnostic: Diagnostic) -> None:
        """Keep the diagnostic."""
        super().__init__(diagnostic.headline)
        self.diagnostic = diagnostic


class AlreadyTold(Exception):  # noqa: N818 - nothing more is to be said
    """What a statement needs is broken, and that was told elsewhere."""


@contextmanager
def telling(collector: Collector) -> Iterator[None]:
    """Tell the Mistake in which what stands under this ends; go on after it."""
    try:
        yield
    except Mistake as mistake:
        collector.add(mistake.diagnostic)
    except AlreadyTold:
        if not collector.failed:
            raise


@dataclass(eq=False, slots=True)
class Entry:
    """A declared thing: a name, or one place of a row."""

    name: str
    index: int | None
    span: Span
    scope: "Scope"
    env: Env

    @property
    def path(self) -> str:
        """The name as people read it, from the design down."""
        own = self.name if self.index is None else f"{self.name}[{self.index}]"
        return f"{self.scope.path}.{own}" if self.scope.path else own


@dataclass(eq=False, slots=True)
class ValueEntry(Entry):
    """A setting or parameter: `node` as read in `home`, until its value is worked out."""

    node: tree.Value | None
    home: "Scope"
    type: tree.Type | None = None
    tunable: tree.Range | None = None
    value: Value | None = None
    busy: bool = False
    broken: bool = False
    used: bool = False
    is_setting: bool = False


@dataclass(eq=False, slots=True)
class LetEntry(Entry):
    """`let`: an expression, or a value made by the stage itself (`fed`, `spare`, `starving`)."""

    node: tree.Expression | None
    value: Value | None = None
    busy: bool = False
    broken: bool = False


@dataclass(eq=False, slots=True)
class PortEntry(Entry):
    """An input or output, its net, and where its value comes from."""

    net: Net
    declared: tree.In | tree.Out
    driver: Span | None = None
    sink: Span | None = None

    @property
    def is_input(self) -> bool:
        """Whether it is an input."""
        return isinstance(self.declared, tree.In)


@dataclass(eq=False, slots=True)
class KeptEntry(Entry):
    """Kept state of a flag, count or choice."""

    net: Net
    start: int
    cases: list[Case] = field(default_factory=list)
    becomes: Span | None = None


@dataclass(eq=False, slots=True)
class TimerEntry(Entry):
    """A timer."""

    timer: Timer
    loads: list[Load] = field(default_factory=list)
    loaded: Span | None = None
    run: Span | None = None


@dataclass(eq=False, slots=True)
class FreeEntry(Entry):
    """A free choice."""

    free: Free


@dataclass(eq=False, slots=True)
class PartEntry(Entry):
    """A part; `inside` is None until it is placed, for good where that `failed`, which was told."""

    declared: tree.Part
    inside: "Scope | None" = None
    failed: bool = False


@dataclass(eq=False, slots=True)
class RoomEntry(Entry):
    """A room."""

    number: int


@dataclass(eq=False, slots=True)
class WalkerEntry(Entry):
    """A walker; `walker` is None until it is made, for good where that `failed`."""

    room: tree.Ref
    walker: Walker | None = None
    failed: bool = False


@dataclass(eq=False, slots=True)
class ClaimEntry(Entry):
    """A claim: its name is taken, but nothing may refer to it."""


@dataclass(eq=False, slots=True)
class BrokenEntry(Entry):
    """What could not be declared, which was told; asking for it says nothing more."""


@dataclass(frozen=True, slots=True)
class Unit:
    """A file with its kinds, and the units whose kinds it uses, nearest first.

    `whole` is false where a file that it uses could not be had, which was told.
    """

    source: Source
    file: tree.File
    uses: tuple["Unit", ...]
    whole: bool = True

    def kind(self, name: str) -> "tuple[tree.Block, Unit] | None":
        """Find a kind by name: the file's own, then those of the files it uses."""
        for unit in (self, *self.uses):
            for block in unit.file.blocks:
                if not block.is_design and block.name.text == name:
                    return block, unit
        return None

    def kind_names(self) -> set[str]:
        """All kinds that a part of this file may be."""
        units = (self, *self.uses)
        return {one.name.text for unit in units for one in unit.file.blocks if not one.is_design}


@dataclass(eq=False, slots=True)
class Row:
    """The entries of a row by index."""

    items: dict[int, Entry] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Placed:
    """A statement as it stands in a scope, under its loop names."""

    statement: tree.Statement
    env: Env


@dataclass(eq=False, slots=True)
class Scope:
    """The names of one placed block. `above` is the scope that placed it, None for the design."""

    path: str
    block: tree.Block
    unit: Unit
    whole: "Whole"
    above: "Scope | None"
    span: Span
    names: dict[str, Entry | Row] = field(default_factory=dict)
    statements: list[Placed] = field(default_factory=list)
    uses: tuple[int, Net, Net] | None = None
    wished: dict[str, tree.Value | None] = field(default_factory=dict)

    def entries(self) -> Iterator[Entry]:
        """Every declared thing, rows unfolded, in order of declaration."""
        for known in self.names.values():
            if isinstance(known, Row):
                yield from known.items.values()
            else:
                yield known

    def ports(self, *, inputs: bool) -> list[PortEntry]:
        """The inputs, or the outputs, in order of declaration."""
        return [
            one for one in self.entries() if isinstance(one, PortEntry) and one.is_input is inputs
        ]


@dataclass(eq=False, slots=True)
class Whole:
    """What all scopes of one design share while it is resolved."""

    collector: Collector
    tick_ns: int
    percent: int = 0
    pinned: frozenset[str] = frozenset()  # settings whose times do more than lengthen spans
    scopes: list[Scope] = field(default_factory=list)
    rooms: list[RoomEntry] = field(default_factory=list)
    walkers: list[Walker] = field(default_factory=list)
    lets: dict[LetEntry, Net] = field(default_factory=dict)
    size: int = 0
    pieces: int = 0

    def count(self, span: Span, pieces: int = 1) -> None:
        """Take notice of more pieces, refusing designs that unfold into too many of them."""
        self.pieces += pieces
        if self.pieces > MOST_PIECES:
            raise TooLarge(wording.too_many_pieces(span, MOST_PIECES))
