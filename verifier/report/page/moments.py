"""What happens at each moment of a run, and what it comes about by, one step back.

Reasons are those of the run as it is (`causes.reasons`); they are not tried by changing them, as
those of a story are. So any moment can be asked, and all of them together cost little.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from verifier.causes.facts import Fact, Why
from verifier.causes.reasons import Reasons
from verifier.causes.tree import Explained
from verifier.design.model import Role
from verifier.report.because import Because
from verifier.report.clock import Clock
from verifier.report.events import Event, Kind, events_of
from verifier.report.history import History
from verifier.report.phrases import Phrases
from verifier.report.presses import presses
from verifier.report.rows import Focus, choose

_ROWS = 1000


@dataclass(frozen=True, slots=True)
class Said:
    """Something that happens: of which kind it is, and the words for it and for its reasons."""

    kind: Kind
    words: str
    reasons: str = ""


def said(reasons: Reasons, last: Event | None) -> dict[int, list[Said]]:
    """Return by tick all that happens in a run of the design; `last` is what it comes to."""
    found: dict[int, list[Said]] = {}
    for event in _events(reasons):
        found.setdefault(event.tick, []).append(Said(event.kind, event.words, event.reasons))
    if last is not None:
        found.setdefault(last.tick, []).append(Said(last.kind, last.words))
    return found


def _events(reasons: Reasons) -> list[Event]:
    """Return all events of a run, each with its reasons where they are known."""
    design, readings = reasons.system.design, reasons.readings
    focus = Focus.of(design)
    clock = Clock(design.tick_ns)
    rows = choose(design, readings, focus, _ROWS)
    history = History(clock, readings.length, rows.rows)
    events = events_of(history, presses(design, readings, focus))
    phrases = Phrases(design, clock)
    whys = _whys(reasons, _changed(reasons, phrases, events))
    told = Because(Explained(reasons, readings.length - 1, (), whys), phrases, events).told()
    covered = {(event.seen, event.about) for event in told}
    covered |= {(event.seen, phrases.owner(event.about)) for event in told}
    plain = [
        event
        for event in events
        if event.kind is Kind.CHANGE
        and not covered & {(event.seen, event.about), (event.seen, phrases.owner(event.about))}
    ]
    order = {Kind.START: 0, Kind.PRESS: 1}
    return sorted([*told, *plain], key=lambda one: (one.tick, order.get(one.kind, 2), one.late))


def _changed(reasons: Reasons, phrases: Phrases, events: Iterable[Event]) -> list[Fact]:
    """Return the facts that begin with events: what of their owners changes with them."""
    begins: dict[tuple[str, int], list[str]] = {}
    for net in reasons.system.design.nets:
        if net.role is not Role.IN:
            owner = phrases.owner(net.path)
            for tick, _ in reasons.readings.changes[net.path]:
                begins.setdefault((owner, tick), []).append(net.path)
    places = dict.fromkeys((phrases.owner(event.about), event.seen) for event in events)
    return [
        reasons.at(path, tick) for owner, tick in places for path in begins.get((owner, tick), ())
    ]


def _whys(reasons: Reasons, roots: Sequence[Fact]) -> tuple[Why, ...]:
    """Return facts with all that is behind them; what is behind comes first."""
    made: dict[Fact, Why] = {}
    todo = list(roots)
    opened: set[Fact] = set()
    while todo:
        fact = todo[-1]
        behind = reasons.behind(fact)
        missing = [one for one in behind if one not in made and one not in opened]
        if fact not in made and missing:
            opened.add(fact)
            todo.extend(missing)
            continue
        todo.pop()
        if fact not in made:
            made[fact] = Why(fact, tuple(made[one] for one in behind if one in made))
    return tuple(made[fact] for fact in roots)
