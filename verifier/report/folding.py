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
_TRIES = 80  # scales tried at most
_FOLD_COST = log(2.5)  # a fold misleads about as much as a stretch drawn 2.5 times too wide


@dataclass(frozen=True, slots=True)
class Stretch:
    """The ticks from `start` up to `end`, on so many columns; `words` are the length if folded."""

    start: int
    end: int
    columns: int
    words: str = ""

    @property
    def folded(self) -> bool:
        """Whether the rule is folded here, but for one column at each end."""
        return bool(self.words)


@dataclass(frozen=True, slots=True)
class Rule:
    """The room there is: columns of one panel, the fewest of a stretch, words for a length.

    `ends` are columns of a fold beside its words: one drawn as usual and a hinge on each side.
    """

    columns: int
    breath: int
    words: Callable[[int], str]
    ends: int = 6


def lay_out(events: Sequence[int], length: int, rule: Rule) -> list[list[Stretch]]:
    """Return the panels of a rule over ticks 0 to `length`; `events` rise and begin with 0."""
    spans = list(zip(events, [*events[1:], length], strict=True))
    spans = [(start, end) for start, end in spans if end > start]
    tried = [_at_scale(spans, scale, rule) for scale in _scales(spans)]
    fitting = [one for one in tried if one.columns <= rule.columns]
    if fitting:
        return [min(fitting, key=lambda one: (one.cost, -one.columns)).stretches]
    best = min(tried, key=lambda one: (one.columns, one.cost))
    return _panels(best.stretches, rule.columns)


@dataclass(frozen=True, slots=True)
class _Tried:
    """The stretches on one scale, and how far they are from being drawn to scale."""

    stretches: list[Stretch]
    cost: float

    @property
    def columns(self) -> int:
        return sum(one.columns for one in self.stretches)


def _scales(spans: Sequence[tuple[int, int]]) -> list[float]:
    """Return the scales worth trying, in ticks a column: each makes some stretch come out even."""
    lengths = {end - start for start, end in spans}
    scales = sorted({long / k for long in lengths for k in range(_FINEST, _COARSEST + 1)})
    return scales[:: -(-len(scales) // _TRIES)] if scales else []


def _at_scale(spans: Sequence[tuple[int, int]], scale: float, rule: Rule) -> _Tried:
    stretches: list[Stretch] = []
    cost = 0.0
    for start, end in spans:
        wanted = (end - start) / scale
        words = rule.words(end - start)
        fold = max(len(words) + rule.ends, rule.breath)
        if wanted > _WORTH * fold and wanted > _BREATHS * rule.breath:
            stretches.append(Stretch(start, end, fold, words))
            cost += _FOLD_COST
        else:
            columns = max(rule.breath, round(wanted))
            stretches.append(Stretch(start, end, columns))
            cost += log(max(columns / wanted, 1))
    return _Tried(stretches, cost)


def _panels(stretches: Sequence[Stretch], columns: int) -> list[list[Stretch]]:
    """Cut a row of stretches into panels, as even as whole stretches allow."""
    total = sum(one.columns for one in stretches)
    count = -(-total // columns)
    aim = min(columns, -(-total // count) + max(one.columns for one in stretches) // 2)
    panels: list[list[Stretch]] = []
    used = columns + 1
    for one in stretches:
        if used + one.columns > aim:
            panels.append([])
            used = 0
        panels[-1].append(one)
        used += one.columns
    return panels
