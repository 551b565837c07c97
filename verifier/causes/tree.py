"""From an outcome back to presses and the start, each step tried by changing it alone.

A fact that changes nothing when it alone is changed (because something else would have done as
well, or because it is but another name of its cause) is left out, and its causes take its place.
"""

from collections import deque
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from verifier.causes.facts import Fact, Kind, Why
from verifier.causes.grounds import grounds
from verifier.causes.levers import Bench, bench, levered
from verifier.causes.reasons import Reasons
from verifier.simulate.readings import Readings
from verifier.system.model import Form, Question, System
from verifier.verdict.trace import Trace

MOST_FACTS = 400
"""Further back than so many facts nothing is looked at: those nearest to the outcome come first."""

_FEWEST, _MOST_STEPS = 40, 20_000  # fewer facts of runs with many changes: each is a run to play


def causes(
    reasons: Reasons, roots: Sequence[Fact], hangs: Callable[[Fact], bool]
) -> tuple[Why, ...]:
    """Return why the grounds of an outcome came about: only facts on which the outcome `hangs`."""
    steps = max(map(len, reasons.readings.changes.values()), default=1)
    found = _behind(reasons, roots, max(_FEWEST, min(MOST_FACTS, _MOST_STEPS // steps)))
    needed = {fact for fact in found if hangs(fact)}
    made: dict[Fact, tuple[Why, ...]] = {}
    for fact in sorted(found, key=lambda one: found[one], reverse=True):
        inner = _joined(made.get(one, ()) for one in reasons.behind(fact))
        made[fact] = (Why(fact, inner, proved=True),) if fact in needed else inner
    # Where there are more roots than are looked at, nothing is known behind the rest.
    return _joined(made.get(fact, ()) for fact in roots)


def _joined(rows: Iterable[tuple[Why, ...]]) -> tuple[Why, ...]:
    return tuple({why.fact: why for row in rows for why in row}.values())


def _behind(reasons: Reasons, roots: Sequence[Fact], most: int = MOST_FACTS) -> dict[Fact, int]:
    """Return all facts behind some, each with a number larger than those it explains."""
    near: list[Fact] = []
    seen = set(roots)
    todo = deque(dict.fromkeys(roots))
    while todo and len(near) < most:
        fact = todo.popleft()
        near.append(fact)
        for one in reasons.behind(fact):
            if one not in seen:
                seen.add(one)
                todo.append(one)
    return _ordered(reasons, near)


def _ordered(reasons: Reasons, near: Sequence[Fact]) -> dict[Fact, int]:
    """Number facts so that causes come after what they explain."""
    inside = set(near)
    waiting = dict.fromkeys(near, 0)
    for fact in near:
        for one in reasons.behind(fact):
            if one in inside:
                waiting[one] += 1
    ready = deque(fact for fact in near if not waiting[fact])
    number: dict[Fact, int] = {}
    while ready:
        fact = ready.popleft()
        number[fact] = len(number)
        for one in reasons.behind(fact):
            if one in inside:
                waiting[one] -= 1
                if not waiting[one]:
                    ready.append(one)
    return number


def hangs_on(reasons: Reasons, played: Bench, fact: Fact) -> bool:
    """Whether the run comes to another outcome, or to it at another tick, with this fact changed.

    Nothing else is changed but what follows from it.
    """
    if fact.kind is Kind.RUNS:
        return False  # its start is tried in its place
    before = None
    if fact.kind is Kind.VALUE and fact.since > 0:
        before = reasons.readings.at(fact.path, fact.since - 1)
    pulled = played.otherwise(fact, before)
    return pulled is not None and played.first([pulled]) != played.trace.length - 1


@dataclass(frozen=True, slots=True)
class Explained:
    """A run with what can be asked of it, and why it comes to its outcome at tick `tick`.

    `grounds` are the facts that decide the claim there, `causes` the tree behind them.
    """

    reasons: Reasons
    tick: int
    grounds: tuple[Fact, ...]
    causes: tuple[Why, ...]

    @property
    def facts(self) -> list[Why]:
        """All of the tree, each fact once, those nearest to the outcome first."""
        found: dict[Fact, Why] = {}
        todo = deque(self.causes)
        while todo:
            why = todo.popleft()
            if why.fact not in found:
                found[why.fact] = why
                todo.extend(why.causes)
        return list(found.values())


def explain(system: System, question: Question, trace: Trace, readings: Readings) -> Explained:
    """Return why a run breaks the claim at its last tick, or reaches there what is asked for.

    `readings` are those of the same run.
    """
    reasons, tick = Reasons(system, readings), trace.length - 1
    found = grounds(reasons, question, tick)
    made = levered(system.design)
    place = [one.name for one in system.questions].index(question.name)
    asked = made.system.questions[place]
    target = asked.goal if question.form is Form.REACH else asked.bad
    played = bench(made, trace, target)
    tree = causes(reasons, found, lambda fact: hangs_on(reasons, played, fact))
    return Explained(reasons, tick, tuple(found), tree)
