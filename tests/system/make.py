"""Designs made by hand, so that tests of the system stage need no text and no parser."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from verifier.design.model import (
    Assumption,
    BuiltIn,
    Case,
    Choice,
    Claim,
    Cond,
    Design,
    Flag,
    Free,
    Kept,
    Live,
    Load,
    Net,
    Number,
    Role,
    Sentence,
    Shape,
    Term,
    Timer,
    Walker,
)
from verifier.source.text import Source, Span

NOWHERE = Span(Source("made by hand", ""), 0, 0)


@dataclass(slots=True)
class Bench:
    """Gathers the pieces of a design."""

    one_press: bool = False
    rooms: tuple[str, ...] = ()
    nets: list[Net] = field(default_factory=list)
    kept: list[Kept] = field(default_factory=list)
    timers: list[Timer] = field(default_factory=list)
    free: list[Free] = field(default_factory=list)
    walkers: list[Walker] = field(default_factory=list)
    assumptions: list[Assumption] = field(default_factory=list)
    claims: list[Claim] = field(default_factory=list)

    def net(self, path: str, shape: Shape, term: Term | None = None, role: Role = Role.LET) -> Net:
        made = Net(path, shape, NOWHERE, role, "", term=term)
        self.nets.append(made)
        return made

    def let(self, path: str, condition: Cond) -> Live:
        """Name a condition."""
        return Live(self.net(path, Flag(), condition))

    def button(self, path: str, *, is_press: bool = True) -> Live:
        """Add a free flag and return the condition that it is live."""
        made = self.net(path, Flag(), role=Role.FREE)
        self.free.append(Free(made, 2, is_press=is_press))
        return Live(made)

    def free_number(self, path: str, low: int, high: int) -> Net:
        made = self.net(path, Number(low, high, units=False), role=Role.FREE)
        self.free.append(Free(made, high - low + 1, is_press=True))
        return made

    def free_choice(self, path: str, options: tuple[str, ...]) -> Net:
        made = self.net(path, Choice(options), role=Role.FREE)
        self.free.append(Free(made, len(options), is_press=True))
        return made

    def keep(self, path: str, shape: Shape, start: int, cases: Sequence[Case] = ()) -> Net:
        made = self.net(path, shape, role=Role.KEPT)
        self.kept.append(Kept(made, start, tuple(cases)))
        return made

    def change(self, net: Net, *cases: Case) -> None:
        """Give the cases of kept state that had to be there before they could be written."""
        place = next(index for index, one in enumerate(self.kept) if one.net is net)
        self.kept[place] = Kept(net, self.kept[place].start, cases)

    def timer(self, path: str, start: int = 0) -> Timer:
        made = Timer(path, NOWHERE, "", start=start)
        self.timers.append(made)
        return made

    def claim(self, name: str, sentence: Sentence, built_in: BuiltIn | None = None) -> None:
        self.claims.append(Claim(name, None, sentence, NOWHERE, name, built_in))

    def assume(self, sentence: Sentence) -> None:
        self.assumptions.append(Assumption(sentence, NOWHERE, "assumed"))

    def design(self) -> Design:
        return Design(
            name="bench",
            text=None,
            file="made by hand",
            span=NOWHERE,
            tick_ns=100_000_000,
            settings=(),
            parts=(),
            wires=(),
            nets=tuple(self.nets),
            kept=tuple(self.kept),
            timers=tuple(self.timers),
            free=tuple(self.free),
            walkers=tuple(self.walkers),
            rooms=self.rooms,
            one_press=self.one_press,
            assumptions=tuple(self.assumptions),
            claims=tuple(self.claims),
        )


def load(condition: Cond, low: int, high: int | None = None, *, turned: bool = False) -> Load:
    """Return a load of a timer, in ticks."""
    return Load(condition, low, low if high is None else high, turned=turned, span=NOWHERE)
