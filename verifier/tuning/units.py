"""What each part gets of the units it needs, at the least and at the most, in any situation.

Bounds are found by asking: a run that gets there shows an amount, a proof excludes all beyond it.
Amounts beyond a bound are nested, so halving between the two is sound without any other assumption.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import reduce

from verifier.design.model import (
    Add,
    Claim,
    Compare,
    Design,
    Fixed,
    Live,
    Net,
    Never,
    Num,
    Number,
    NumIf,
    Part,
    Read,
    Relation,
    Role,
    Truth,
)
from verifier.engines.decide import Decider, Effort
from verifier.simulate.watch import watch
from verifier.system.expr import Node
from verifier.system.lower import lower
from verifier.system.model import Form, Question, System
from verifier.verdict.answer import Outcome, Reach, Verdict
from verifier.verdict.trace import Step, Trace

DRAWN = "units drawn"
"""The name of the amount that all working parts draw together; no name of a design has a blank."""


@dataclass(frozen=True, slots=True)
class Extreme:
    """`met`: the hardest amount that a run shows; `proved`: none is beyond it, in any run.

    The answer is exact where both are the same. `until`: proved only up to that tick.
    """

    met: int
    proved: int
    trace: Trace
    until: int | None = None

    @property
    def exact(self) -> bool:
        """Whether it is known to the unit, for ever."""
        return self.met == self.proved and self.until is None


@dataclass(frozen=True, slots=True)
class Gets:
    """What a part gets, where anything arrives at all, and whether there are times of nothing.

    `least` and `most` are None where nothing ever arrives (`dry`), or where that is not known.
    `idle`: a run to a tick with nothing, None where it is proved, or not known, that there is none.
    """

    part: str
    needs: int
    dry: bool
    least: Extreme | None
    most: Extreme | None
    idle: Trace | None

    @property
    def starves(self) -> bool:
        """Whether a run shows that something arrives and is too little."""
        return self.least is not None and self.least.met < self.needs

    @property
    def enough(self) -> bool:
        """Whether it is proved that whatever arrives is enough."""
        least = self.least
        return least is not None and least.until is None and least.proved >= self.needs


@dataclass(frozen=True, slots=True)
class Needs:
    """What came of a design: each part that needs units, and all of them together."""

    system: System
    parts: tuple[Gets, ...]
    drawn: Extreme | None


@dataclass(slots=True, eq=False)
class _Asker:
    """Asks whether a condition is ever met, each condition once."""

    system: System
    effort: Effort
    known: dict[int, Outcome] = field(default_factory=dict)

    def ask(self, bad: Node) -> Outcome:
        """Return the answer to the claim that `bad` never holds."""
        if bad.number not in self.known:
            self.known[bad.number] = Decider(self.system, self.effort, worst=False).decide(
                _question(self.system, bad)
            )
        return self.known[bad.number]

    def amount(self, net: Net, trace: Trace) -> int:
        """Return what is on a net at the last tick of a run."""
        return watch(self.system, trace).readings.at(net.path, trace.length - 1)

    def more(self, net: Net, number: int) -> Node:
        """Return: the net carries so much or more."""
        bits, pool = self.system.shown[net.path], self.system.pool
        place = number - bits.low - 1
        if place < 0:
            return pool.yes
        return bits.nodes[place] if place < len(bits.nodes) else pool.no


def _question(system: System, bad: Node) -> Question:
    claim = Claim("units", None, Never(Truth(value=False)), system.design.span, "")
    no = system.pool.no
    return Question(
        name=claim.name,
        form=Form.AVOID,
        bad=bad,
        goal=no,
        waiting=no,
        trigger=None,
        limit=None,
        anywhere=False,
        whatever=False,
        claim=claim,
    )


def needs_of(
    design: Design, effort: Effort, progress: Callable[[str], None] = lambda _words: None
) -> Needs:
    """Return what each part gets, and what all draw at their worst."""
    counted, drawn = _counted(design)
    asker = _Asker(lower(counted), effort)
    parts = []
    for part in users(design):
        progress(f"what {part.path} gets")
        parts.append(_gets(asker, part))
    progress(DRAWN)
    whole = None if drawn is None else _most(asker, drawn, _now(asker, drawn))
    return Needs(asker.system, tuple(parts), whole)


def draws_of(design: Design, effort: Effort) -> tuple[Extreme, Extreme] | None:
    """Return the least and the most that all working parts draw; None where none needs units."""
    counted, drawn = _counted(design)
    if drawn is None:
        return None
    asker = _Asker(lower(counted), effort)
    now = _now(asker, drawn)
    least = _least(asker, drawn, replace(now, proved=0), floor=0)
    return least, _most(asker, drawn, now)


def users(design: Design) -> list[Part]:
    """Return the parts that need units."""
    return [part for part in design.parts if part.fed is not None and part.draw > 0]


def feed_of(part: Part) -> Net:
    """Return the input whose units a part of `users` uses: the one that `fed` compares."""
    fed = part.fed.term if part.fed is not None else None
    asked = (Compare(Relation.LESS_EQUAL, Fixed(part.draw), Read(net)) for net in part.ports_in)
    return next(net for net, one in zip(part.ports_in, asked, strict=True) if one == fed)


def _counted(design: Design) -> tuple[Design, Net | None]:
    """Return the design without claims, with a net that counts the units drawn."""
    found = users(design)
    bare = replace(design, claims=())
    if not found:
        return bare, None
    terms: list[Num] = [
        NumIf(Live(part.fed), Fixed(part.draw), Fixed(0)) for part in found if part.fed is not None
    ]
    shape = Number(0, sum(part.draw for part in found), units=True)
    net = Net(DRAWN, shape, design.span, Role.LET, "", term=reduce(Add, terms))
    return replace(bare, nets=(*design.nets, net)), net


def _now(asker: _Asker, net: Net) -> Extreme:
    """Return the amount on a net at tick 0 with nobody acting, as the first thing known of it."""
    system = asker.system
    rest = Step((0,) * len(system.choices), (0,) * len(system.clocks), 1)
    trace = Trace((rest,))
    return Extreme(asker.amount(net, trace), _high(net), trace)


def _high(net: Net) -> int:
    return net.shape.high if isinstance(net.shape, Number) else 1


# --- a part ---------------------------------------------------------------------------------------


def _gets(asker: _Asker, part: Part) -> Gets:
    feed, pool = feed_of(part), asker.system.pool
    any_units = asker.more(feed, 1)
    arrives = asker.ask(any_units)
    idle = asker.ask(pool.not_(any_units)).trace
    if arrives.trace is None:
        dry = arrives.verdict is Verdict.HOLDS and arrives.reach is Reach.FOREVER
        return Gets(part.path, part.draw, dry, None, None, idle)
    met = asker.amount(feed, arrives.trace)
    first = Extreme(met, _high(feed), arrives.trace)
    most = _most(asker, feed, first)
    least = _least(asker, feed, replace(first, proved=1), (part.draw - 1,), floor=1)
    return Gets(part.path, part.draw, dry=False, least=least, most=most, idle=idle)


def _most(asker: _Asker, net: Net, known: Extreme) -> Extreme:
    """Bring together what is met and what is proved, upward: the end first, then by halves."""
    wanted = [known.proved]
    while known.met < known.proved:
        half = (known.met + known.proved + 1) // 2
        number = next((one for one in wanted if known.met < one <= known.proved), half)
        wanted = [one for one in wanted if one != number]
        outcome = asker.ask(asker.more(net, number))
        after = _told(asker, net, known, outcome, number - 1)
        if after is None:
            return known
        known = after
    return known


def _least(
    asker: _Asker, net: Net, known: Extreme, hints: Sequence[int] = (), *, floor: int
) -> Extreme:
    """Do the same downward, among amounts from `floor` up."""
    pool, wanted = asker.system.pool, list(hints)
    while known.proved < known.met:
        half = (known.met + known.proved - 1) // 2
        number = next((one for one in wanted if known.proved <= one < known.met), half)
        wanted = [one for one in wanted if one != number]
        few = pool.and_(asker.more(net, floor), pool.not_(asker.more(net, number + 1)))
        after = _told(asker, net, known, asker.ask(few), number + 1)
        if after is None:
            return known
        known = after
    return known


def _told(asker: _Asker, net: Net, known: Extreme, outcome: Outcome, proved: int) -> Extreme | None:
    """Return what is known after an answer; None if it says nothing."""
    match outcome.verdict:
        case Verdict.FAILS if outcome.trace is not None:
            met = asker.amount(net, outcome.trace)
            return replace(known, met=met, trace=outcome.trace)
        case Verdict.HOLDS:
            ends = [one for one in (known.until, outcome.until) if one is not None]
            return replace(known, proved=proved, until=min(ends, default=None))
        case _:
            return None
