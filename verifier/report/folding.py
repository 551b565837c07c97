"""How time is laid out along a rule that folds: columns go to what happens, not to waiting.

Between two events lies a stretch. Stretches are drawn to one scale as far as they can be; one that
would take far more room than it is worth is folded, and carries its length in words instead. When
the events need more room than one rule has, the rule goes on in a further panel.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import log

_WORTH = 1.6  # a stretch is folded only if it is so many times as wide as its fold
_BREATHS = 4  # and so many times as wide as the narrowest stretch
_FINEST, _COARSEST = 3, 12  # columns that a stretch may take on the scales tried
_TRIES = 40  # scales tried at most
_FOLD_COST = log(2.5)  # a fold misleads about as much as a stretch drawn 2.5 times too wide
_LOSS_COST = log(1.5)  # numerals or lengths that have no room, likewise
_ENDS = 6  # columns of a fold beside its words: one drawn as usual, a hinge and a blank, twice
_SHORT = 5  # columns of a fold without words


@dataclass(frozen=True, slots=True)
class Stretch:
    """The ticks from `start` up to `end`, on so many columns.

    A folded one is drawn as usual only in its first and last column; `words` tell its length, if
    there is room.
    """

    start: int
    end: int
    columns: int
    folded: bool = False
    words: str = ""


@dataclass(frozen=True, slots=True)
class Rule:
    """The room there is: columns of one panel, and the words for a length.

    `breaths` are the columns that the narrowest stretch may take, the most wished for first.
    """

    columns: int
    breaths: Sequence[int]
    words: Callable[[int], str]


def lay_out(events: Sequence[int], length: int, rule: Rule) -> list[list[Stretch]]:
    """Return the panels of a rule over ticks 0 to `length`; `events` rise and begin with 0."""
    ends = [*events[1:], length]
    spans = [
        _Span(start, end, rule.words(end - start))
        for start, end in zip(events, ends, strict=True)
        if end > start
    ]
    tried = [
        _at_scale(spans, scale, breath, worded=worded, loss=place * _LOSS_COST)
        for place, (breath, worded) in enumerate(_fashions(rule))
        for scale in _scales(spans)
    ]
    fitting = [one for one in tried if one.columns <= rule.columns]
    if fitting:
        return [min(fitting, key=lambda one: (one.cost, -one.columns)).stretches]
    best = min(tried, key=lambda one: (one.columns, one.cost))
    return _panels(best.stretches, rule.columns)


def _fashions(rule: Rule) -> list[tuple[int, bool]]:
    """Return ways of drawing, better ones first: columns of a breath, whether folds have words."""
    return [(breath, worded) for worded in (True, False) for breath in rule.breaths]


@dataclass(frozen=True, slots=True)
class _Span:
    start: int
    end: int
    words: str

    @property
    def ticks(self) -> int:
        return self.end - self.start


@dataclass(frozen=True, slots=True)
class _Tried:
    """The stretches on one scale, and how far they are from being drawn to scale."""

    stretches: list[Stretch]
    columns: int
    cost: float


def _scales(spans: Sequence[_Span]) -> list[float]:
    """Return the scales worth trying, in ticks a column: each makes some stretch come out even."""
    lengths = {span.ticks for span in spans}
    scales = sorted({long / k for long in lengths for k in range(_FINEST, _COARSEST + 1)})
    return scales[:: -(-len(scales) // _TRIES)]


def _at_scale(
    spans: Sequence[_Span], scale: float, breath: int, *, worded: bool, loss: float
) -> _Tried:
    stretches: list[Stretch] = []
    cost = loss
    for span in spans:
        wanted = span.ticks / scale
        words = span.words if worded else ""
        fold = max(len(words) + _ENDS if worded else _SHORT, breath)
        if wanted > _WORTH * fold and wanted > _BREATHS * breath:
            stretches.append(Stretch(span.start, span.end, fold, folded=True, words=words))
            cost += _FOLD_COST
        else:
            columns = max(breath, round(wanted))
            stretches.append(Stretch(span.start, span.end, columns))
            cost += log(max(columns / wanted, 1))
    return _Tried(stretches, sum(one.columns for one in stretches), cost)


def _panels(stretches: Sequence[Stretch], columns: int) -> list[list[Stretch]]:
    """Cut a row of stretches into panels, as few as can be and then as even as can be."""
    widest = max(one.columns for one in stretches)
    fewest = len(_filled(stretches, columns))
    tried = (_filled(stretches, limit) for limit in range(max(widest, columns // 2), columns))
    even = next((panels for panels in tried if len(panels) == fewest), None)
    return even or _filled(stretches, columns)


def _filled(stretches: Sequence[Stretch], limit: int) -> list[list[Stretch]]:
    panels: list[list[Stretch]] = []
    used = limit
    for one in stretches:
        if not panels or used + one.columns > limit:
            panels.append([])
            used = 0
        panels[-1].append(one)
        used += one.columns
    return panels
