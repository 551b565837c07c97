"""The run behind an answer, ready to be told: what happened and why, and the rows to draw."""

from dataclasses import dataclass, replace

from verifier.causes.endless import explain_endless
from verifier.causes.trap import explain_trap
from verifier.causes.tree import Explained, explain
from verifier.report.because import Because
from verifier.report.clock import Clock
from verifier.report.ending import ending
from verifier.report.endless import Endless
from verifier.report.events import Event, Kind, events_of
from verifier.report.history import History, Moment
from verifier.report.needs import needs
from verifier.report.phrases import Phrases
from verifier.report.presses import beginnings, presses
from verifier.report.rows import Focus, choose
from verifier.report.trapped import trapped
from verifier.report.verdicts import broken_at
from verifier.simulate.further import further
from verifier.simulate.readings import Readings
from verifier.simulate.variations import Variations
from verifier.simulate.watch import Again, watch
from verifier.system.model import Form, System
from verifier.verdict.answer import Answer, Outcome, Verdict
from verifier.verdict.trace import Lasso, Trace

_CALM = 24  # jumps for which a run is followed after its end until it rests


@dataclass(frozen=True, slots=True)
class Story:
    """Events up to the moment that the run is about, and the history that is drawn.

    `trace` is the run that is told: the one of the answer, or a roomier one. `explained` is why it
    comes to its end, None where that is not known; `needs` are sentences about its presses, and
    `other` says so where the run of the answer is a shorter one.
    `readings` go on as far as the history does. `near` are the runs near it, where it has an end.
    """

    trace: Trace
    events: tuple[Event, ...]
    history: History
    readings: Readings
    explained: Explained | None = None
    needs: tuple[str, ...] = ()
    near: Variations | None = None
    other: str = ""


def story(system: System, answer: Answer) -> Story | None:
    """Return the run that an answer rests on, None for an answer without one."""
    outcome, question = answer.outcome, answer.question
    if outcome.lasso is not None:
        return _endless(system, answer, outcome.lasso)
    if outcome.trace is None:
        return None
    if question.form is Form.OPEN:
        return _trapped(system, answer, outcome.trace)
    return _explained(system, answer, outcome.trace)


def _explained(system: System, answer: Answer, found: Trace) -> Story:
    """Return a run that meets its target, with all that can be said of why."""
    outcome, question = answer.outcome, answer.question
    target = question.goal if question.form is Form.REACH else question.bad
    shortest = Variations.of(system, target, found, anywhere=question.anywhere)
    run, trace = _roomy(shortest, found, outcome)
    told = plain(system, answer, trace)
    clock = told.history.clock
    phrases = Phrases(system.design, clock)
    verb = "fails" if outcome.verdict is Verdict.FAILS else "comes"
    said = needs(run, phrases, verb)
    if trace.length == found.length:
        said.append(_how_short(outcome))
    readings = watch(system, trace, target).readings
    explained = explain(system, question, trace, readings)
    words = ending(explained, question, phrases)
    events = Because(explained, phrases, told.events).told()
    if words and events[-1].kind is Kind.BREAK:
        events[-1] = Event(events[-1].tick, Kind.BREAK, words)
    return Story(
        trace,
        tuple(events),
        told.history,
        told.readings,
        explained,
        tuple(said),
        near=run,
        other=_another(found, trace, outcome, clock),
    )


def _endless(system: System, answer: Answer, lasso: Lasso) -> Story:
    """Return a run that goes on for ever, with why nothing more comes of it."""
    told = plain(system, answer, lasso.trace)
    waiting = None
    if answer.question.waiting is not system.pool.no:
        waiting = explain_endless(system, answer.question, lasso)
    if waiting is None:
        return told
    words = Endless(waiting, Phrases(system.design, told.history.clock))
    events = (*Because(waiting.explained, words.phrases, told.events).told(), words.end())
    explained = waiting.explained
    return Story(
        told.trace, events, told.history, told.readings, explained, tuple(words.sentences())
    )


def _trapped(system: System, answer: Answer, trace: Trace) -> Story:
    """Return a run into a trap, with what shuts it for good, or to where the goal is too far."""
    told = plain(system, answer, trace)
    found = None
    if answer.outcome.away is None:
        found = explain_trap(system, answer.question, trace)
    if found is None:
        return told
    phrases = Phrases(system.design, told.history.clock)
    return replace(told, needs=tuple(trapped(found, phrases, trace.length)))


def _how_short(outcome: Outcome) -> str:
    return "Shortest possible." if outcome.earliest else "The shortest run found."


def _another(found: Trace, told: Trace, outcome: Outcome, clock: Clock) -> str:
    """Return how the run of the answer differs from the one told, where that is a longer one."""
    if told.length == found.length:
        return ""
    at, until = clock.moment(found.length - 1), clock.moment(told.length - 1)
    sooner = ", and none fails sooner" if outcome.earliest and found.length > 1 else ""
    exact = f"A run that is exact to the tick fails at {at} already{sooner}."
    return f"{exact} Told here is one that need not be so exact, and fails at {until}."


def _roomy(shortest: Variations, trace: Trace, outcome: Outcome) -> tuple[Variations, Trace]:
    """Return the run to tell: a roomier one where the shortest is tight."""
    tried = outcome.verdict is Verdict.FAILS and not shortest.many
    if tried and shortest.tightness() == 0:
        found = shortest.roomy()
        roomy = found.trace() if found is not None else None
        if found is not None and roomy is not None:
            return found, roomy
    return shortest, trace


def plain(system: System, answer: Answer, trace: Trace) -> Story:
    """Return a run with all that happens in it, and nothing on why."""
    outcome, question = answer.outcome, answer.question
    watched = watch(
        system,
        _played(system, answer, trace),
        question.bad if question.bad is not system.pool.no else None,
        0 if outcome.lasso is not None else _CALM,
    )
    focus = Focus.of(system.design, question.claim)
    rows = choose(system.design, watched.readings, focus)
    clock = Clock(system.design.tick_ns)
    again = None
    moment: Moment | None = None
    if outcome.lasso is not None:
        back = outcome.lasso.back_to
        again = Again(back, trace.length - back, None)
    else:
        moment = _moment(answer, trace, clock)
    history = History(clock, watched.readings.length, rows.rows, moment, again, rows.resting)
    last = trace.length - 1 if moment is None else moment.tick
    events = _events(system, trace, focus, history, watched.readings)
    events = [event for event in events if event.seen <= last]
    if moment is not None:
        events = [event for event in events if event.kind is not Kind.BREAK]
        events.append(Event(moment.tick, Kind.BREAK if moment.broken else Kind.GOAL, moment.words))
    return Story(trace, tuple(events), history, watched.readings)


def _played(system: System, answer: Answer, trace: Trace) -> Trace:
    """Return a run as it is drawn: where something gets too far away, with the way there."""
    question, outcome = answer.question, answer.outcome
    if question.form is not Form.OPEN or outcome.lasso is not None:
        return trace
    return further(system, trace, None if outcome.away is None else question.goal)


def _events(
    system: System, trace: Trace, focus: Focus, history: History, readings: Readings
) -> list[Event]:
    before = [*presses(system.design, readings, focus)]
    if trace.start is not None:
        before.extend(beginnings(system.design, readings, focus))
    return events_of(history, before)


def _moment(answer: Answer, trace: Trace, clock: Clock) -> Moment:
    name = answer.question.name
    if answer.outcome.verdict is Verdict.HOLDS:
        return Moment(trace.length - 1, f"{name} is reached", broken=False)
    form = answer.question.form
    return Moment(broken_at(form, trace), _lost(answer, clock), broken=True)


def _lost(answer: Answer, clock: Clock) -> str:
    """Say how a claim is lost at the end of a run."""
    away = answer.outcome.away
    if away is not None:
        return f"from here it takes {away.words(clock.tick_ns)}"
    lost = "out of reach from here on" if answer.question.form is Form.OPEN else "broken"
    return f"{answer.question.name} is {lost}"
