"""How short and how long stretches and rounds can be where spans vary: proved, not sampled.

For each item claims are made that certainly hold, such as that it is never on for longer than all
spans together, and the engines are asked how near runs come to that. What they say is what the
judge has accepted: a bound is proved, and met by a run where it is called exact.

Stretches and gaps count after the item was first off (first on), so that the start has no say.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from verifier.design import model
from verifier.design.model import Claim, Design, Edge, Not
from verifier.source.text import Span
from verifier.system.cone import behind
from verifier.tuning.rhythm import Rhythm
from verifier.tuning.rhythm_items import Item
from verifier.tuning.units import Extreme
from verifier.verdict.answer import Answer, Emptiness, Reach, Verdict

ROOM = 16
"""So many ticks, besides all spans four times, that a stretch is allowed where none is stated."""


@dataclass(frozen=True, slots=True)
class End:
    """The least or most ticks there are: proved; `exact`: a run meets it. None: not known."""

    ticks: int | None
    exact: bool = False


@dataclass(frozen=True, slots=True)
class Extent:
    """The least and the most."""

    least: End
    most: End


@dataclass(frozen=True, slots=True)
class Bounds:
    """How long an item is on, off, and from one going on to the next, in all runs.

    `steady`: it is proved to stay on (True) or off (False) in all runs; then there is no more.
    """

    item: Item
    steady: bool | None
    on: Extent
    off: Extent
    round: Extent


@dataclass(frozen=True, slots=True)
class AllRuns:
    """What holds in all runs: bounds of items, the least and the most units drawn at a time."""

    bounds: tuple[Bounds, ...]
    drawn: tuple[Extreme, Extreme] | None


UNKNOWN = Extent(End(None), End(None))


def varying(found: Rhythm) -> tuple[Item, ...]:
    """Return the items that depend on a span with a range."""
    system = found.system
    ranged = {index for index, clock in enumerate(system.clocks) if clock.ranged}
    return tuple(
        beat.item
        for beat in found.beats
        if ranged & set(behind(system, system.shown[beat.item.net.path].nodes).clocks)
    )


def asked(found: Rhythm, items: Sequence[Item]) -> Design:
    """Return the design with the claims that `told` reads, everybody at rest."""
    design, span = found.system.design, found.design.span
    far = ROOM + 4 * sum(clock.longest for clock in found.system.clocks)
    claims = [one for item in items for one in _claims(item, far, span)]
    # What nobody touches is as good as kept at its rest.
    still = [model.Kept(free.net, _rest(free.net), ()) for free in found.design.free]
    kept = (*design.kept, *still)
    assumed = found.design.assumptions
    return replace(design, claims=tuple(claims), kept=kept, free=(), assumptions=assumed)


def _rest(net: model.Net) -> int:
    return net.shape.low if isinstance(net.shape, model.Number) else 0


def _claims(item: Item, far: int, span: Span) -> list[Claim]:
    on, off = item.on, Not(item.on)
    starts = Edge(item.on, rising=True)
    sentences: list[model.Sentence] = [model.Never(off), model.Never(on)]
    for what, opens in ((on, off), (off, on), (Not(starts), starts)):
        sentences.append(model.After(opens, model.Lasts(what, 1, None)))
        sentences.append(model.After(opens, model.Lasts(what, None, far)))
    return [
        Claim(f"{item.name} {place}", None, sentence, span, "")
        for place, sentence in enumerate(sentences)
    ]


CLAIMS = 8
"""Claims for each item."""


def told(items: Sequence[Item], answers: Sequence[Answer]) -> tuple[Bounds, ...]:
    """Return what the answers to the claims of `asked` say, item by item."""
    rows = [answers[CLAIMS * n : CLAIMS * (n + 1)] for n in range(len(items))]
    return tuple(_told(item, row) for item, row in zip(items, rows, strict=True))


def _told(item: Item, row: Sequence[Answer]) -> Bounds:
    steady = True if _proved(row[0]) else False if _proved(row[1]) else None
    if steady is not None:
        return Bounds(item, steady, UNKNOWN, UNKNOWN, UNKNOWN)
    # A round is the tick of its start and the ticks without one that follow.
    on, off, pause = (Extent(_end(row[n], 1), _end(row[n + 1], None)) for n in (2, 4, 6))
    return Bounds(item, None, on, off, Extent(_later(pause.least), _later(pause.most)))


def _later(end: End) -> End:
    return end if end.ticks is None else replace(end, ticks=end.ticks + 1)


def _proved(answer: Answer) -> bool:
    outcome = answer.outcome
    return outcome.verdict is Verdict.HOLDS and outcome.reach is Reach.FOREVER


def _end(answer: Answer, known: int | None) -> End:
    """Return the bound of an answer; `known` is one that needs no proof."""
    outcome = answer.outcome
    if not _proved(answer) or outcome.empty is not Emptiness.TESTED:
        return End(None)
    if not outcome.margins:
        return End(known)
    return End(outcome.margins[0].value, outcome.margins[0].exact)
