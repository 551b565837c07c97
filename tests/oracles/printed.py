"""A design printed as one Python function of a tick, number by number, with nothing lowered.

It follows verifier/design/model.py and docs/semantics.md and shares no code with lowering, where
numbers become bits: here they are Python's own.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import assert_never, cast

from verifier.design.model import (
    Above,
    Add,
    After,
    AlwaysPossible,
    And,
    AtMostTimes,
    Compare,
    Cond,
    CondIf,
    Design,
    Edge,
    Eventually,
    Fixed,
    Fold,
    FromAnywhere,
    FromUntil,
    HowMany,
    Kept,
    Lasts,
    LeadsTo,
    Live,
    Never,
    NoSooner,
    Not,
    Number,
    NumIf,
    OnlyAfter,
    OnlyWhile,
    Option,
    Or,
    Picked,
    PickIf,
    Possible,
    Read,
    ReadPick,
    Relation,
    Returns,
    Running,
    Scaled,
    Sentence,
    Subtract,
    Term,
    Timer,
    Truth,
    While,
)

Values = tuple[int, ...]

# (kept, timers, what edges saw a tick ago, choices) ->
# (kept next, least and most of each timer next, what edges see, conditions asked for, overflow)
Tick = Callable[
    [Values, Values, Values, Values], tuple[Values, tuple[range, ...], Values, Values, bool]
]


@dataclass(frozen=True, slots=True)
class Printed:
    """The function of a tick, and where each condition stands among those that it returns."""

    tick: Tick
    source: str
    edges: int
    place: Mapping[int, int]

    def holds(self, condition: Cond, row: Values) -> bool:
        """Return whether a condition that was asked for holds in a tick."""
        return bool(row[self.place[id(condition)]])


_FOLDS = {Fold.TIMES: "*", Fold.DIV: "//", Fold.MOD: "%"}
_RELATIONS = {Relation.EQUAL: "==", Relation.LESS: "<", Relation.LESS_EQUAL: "<="}


class _Page:
    """A function in the making: its lines, and the edges whose inner conditions it notes."""

    def __init__(self, design: Design) -> None:
        """Name what is given: kept values, timers, choices."""
        self.design = design
        self.lines: list[str] = []
        self.edges = 0
        self.names = {kept.net: f"kept[{place}]" for place, kept in enumerate(design.kept)}
        self.timers = {timer: f"timers[{place}]" for place, timer in enumerate(design.timers)}
        for place, free in enumerate(design.free):
            low = free.net.shape.low if isinstance(free.net.shape, Number) else 0
            self.names[free.net] = f"(choices[{place}] + {low})"
        for number, net in enumerate(design.nets):
            if net.term is not None:
                self.lines.append(f"net{number} = {self.text(net.term)}")
                self.names[net] = f"net{number}"

    def text(self, term: Term) -> str:  # noqa: C901 - one case a term
        """Return a term as an expression; lines for the edges in it are written first."""
        match term:
            case Truth(value) | Fixed(value) | Option(value):
                return str(int(value))
            case Live(net) | Read(net) | ReadPick(net):
                return self.names[net]
            case Not(inner):
                return f"(not {self.text(inner)})"
            case And(parts):
                return f"all(({self._row(parts)}))"
            case Or(parts):
                return f"any(({self._row(parts)}))"
            case HowMany(parts):
                return f"sum(map(bool, ({self._row(parts)})))"
            case CondIf(condition, then, other) | NumIf(condition, then, other):
                return self._either(condition, then, other)
            case PickIf(condition, one, two):
                return self._either(condition, one, two)
            case Picked(pick, option):
                return f"({self.text(pick)} == {option})"
            case Above(timer, ticks):
                return f"({self.timers[timer]} > {ticks})"
            case Running(timer):
                return self.text(timer.runs)
            case Edge(inner, rising):
                return self._edge(inner, rising=rising)
            case Compare() | Add() | Subtract() | Scaled():
                return self._worked_out(term)
            case _:
                assert_never(term)

    def _worked_out(self, term: Compare | Add | Subtract | Scaled) -> str:
        match term:
            case Compare(relation, left, right):
                return f"({self.text(left)} {_RELATIONS[relation]} {self.text(right)})"
            case Add(left, right):
                return f"({self.text(left)} + {self.text(right)})"
            case Subtract(left, right):
                return f"({self.text(left)} - {self.text(right)})"
            case Scaled(fold, inner, by):
                return f"({self.text(inner)} {_FOLDS[fold]} {by})"

    def _row(self, parts: Sequence[Term]) -> str:
        return _listed(self.text(part) for part in parts)

    def _either(self, condition: Cond, then: Term, other: Term) -> str:
        return f"({self.text(then)} if {self.text(condition)} else {self.text(other)})"

    def _edge(self, inner: Cond, *, rising: bool) -> str:
        text = self.text(inner)
        place, self.edges = self.edges, self.edges + 1
        self.lines.append(f"sees{place} = int(bool({text}))")
        return f"(sees{place} {'>' if rising else '<'} seen[{place}])"

    def becomes(self, kept: Kept) -> str:
        """Return what a kept value would be next: the first case that holds, else the same."""
        text = self.names[kept.net]
        for case in reversed(kept.cases):
            text = f"({self.text(case.value)} if {self.text(case.condition)} else {text})"
        return f"int({text})"

    def shows(self, timer: Timer) -> str:
        """Return what a timer can show next, as a range."""
        now = self.timers[timer]
        less = f"max({now} - 1, 0) if {self.text(timer.runs)} else {now}"
        text = f"one({less})"
        for load in reversed(timer.loads):
            span = f"range({load.low}, {load.high + 1})"
            if load.turned:
                span = f"one(max({load.low} - {now}, 0))"
            text = f"({span} if {self.text(load.condition)} else {text})"
        return text


def _listed(texts: Iterable[str]) -> str:
    return "".join(f"{text}, " for text in texts)


def _one(value: int) -> range:
    return range(value, value + 1)


def printed(design: Design, sentences: Iterable[Sentence]) -> Printed:
    """Print a design, and the conditions that some sentences speak of."""
    asked: dict[int, Cond] = {}
    for sentence in sentences:
        asked |= {id(one): one for one in conditions(sentence)}
    page = _Page(design)
    row = [f"int(bool({page.text(one)}))" for one in asked.values()]
    after = [page.becomes(kept) for kept in design.kept]
    spans = [page.shows(timer) for timer in design.timers]
    lines = [
        *page.lines,
        f"following = ({_listed(after)})",
        "inside = clipped(following)",
        f"spans = ({_listed(spans)})",
        f"sees = ({_listed(f'sees{place}' for place in range(page.edges))})",
        f"return inside, spans, sees, ({_listed(row)}), inside != following",
    ]
    source = "\n    ".join(["def tick(kept, timers, seen, choices):", *lines])
    ends = [
        (one.net.shape.low, one.net.shape.high) if isinstance(one.net.shape, Number) else None
        for one in design.kept
    ]

    def clipped(values: Values) -> Values:
        return tuple(
            value if span is None else min(max(value, span[0]), span[1])
            for value, span in zip(values, ends, strict=True)
        )

    names: dict[str, object] = {"clipped": clipped, "one": _one}
    exec(compile(source, "<design>", "exec"), names)  # noqa: S102 - printed by us
    place = {known: number for number, known in enumerate(asked)}
    return Printed(cast("Tick", names["tick"]), source, page.edges, place)


def conditions(sentence: Sentence) -> Iterator[Cond]:
    """Yield the conditions that a sentence speaks of, those of its scopes too."""
    match sentence:
        case FromAnywhere(inner):
            yield from conditions(inner)
        case While(condition, inner) | After(condition, inner):
            yield condition
            yield from conditions(inner)
        case FromUntil(opens, shuts, inner):
            yield from (opens, shuts)
            yield from conditions(inner)
        case LeadsTo(cause, effect):
            yield from (cause, effect)
        case OnlyAfter(what, links):
            yield from (what, *(link.what for link in links))
        case OnlyWhile(what, condition):
            yield from (what, condition)
        case (
            Never(what)
            | Lasts(what)
            | Returns(what)
            | AtMostTimes(what)
            | Possible(what)
            | NoSooner(what)
            | AlwaysPossible(what)
            | Eventually(what)
        ):
            yield what
        case _:
            assert_never(sentence)
