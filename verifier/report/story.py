"""The run behind an answer, ready to be told: what happened, and the rows to draw."""

from dataclasses import dataclass

from verifier.report.clock import Clock
from verifier.report.events import Event, Kind, events_of
from verifier.report.history import History, Moment
from verifier.report.presses import beginnings, presses
from verifier.report.rows import Focus, choose
from verifier.simulate.watch import Again, watch
from verifier.system.model import Form, System
from verifier.verdict.answer import Answer, Verdict
from verifier.verdict.trace import Trace

_CALM = 24  # jumps for which a run is followed after its end until it rests


@dataclass(frozen=True, slots=True)
class Story:
    """Events up to the moment that the run is about, and the history that is drawn."""

    events: tuple[Event, ...]
    history: History


def story(system: System, answer: Answer) -> Story | None:
    """Return the run that an answer rests on, None for an answer without one."""
    outcome, question = answer.outcome, answer.question
    trace = outcome.trace if outcome.lasso is None else outcome.lasso.trace
    if trace is None:
        return None
    claim = question.claim
    watched = watch(
        system,
        trace,
        question.bad if question.bad is not system.pool.no else None,
        0 if outcome.lasso is not None else _CALM,
    )
    focus = Focus.of(system.design, claim)
    rows = choose(system.design, watched.readings, focus)
    again = None
    moment: Moment | None = None
    if outcome.lasso is not None:
        back = outcome.lasso.back_to
        again = Again(back, trace.length - back, None)
    else:
        moment = _moment(answer, trace)
    clock = Clock(system.design.tick_ns)
    history = History(clock, watched.readings.length, rows.rows, moment, again, rows.resting)
    before = [*presses(system.design, watched.readings, focus)]
    if trace.start is not None:
        before.extend(beginnings(system.design, watched.readings, focus))
    told = [event for event in events_of(history, before) if event.tick < trace.length]
    if moment is not None:
        told = [event for event in told if event.kind is not Kind.BREAK]
        told.append(Event(moment.tick, Kind.BREAK if moment.broken else Kind.GOAL, moment.words))
    return Story(tuple(told), history)


def _moment(answer: Answer, trace: Trace) -> Moment:
    name = answer.question.name
    if answer.outcome.verdict is Verdict.HOLDS:
        return Moment(trace.length - 1, f"{name} is reached", broken=False)
    if answer.question.form is Form.OPEN:
        return Moment(trace.length - 1, f"{name} is out of reach from here on", broken=True)
    return Moment(trace.length - 1, f"{name} is broken", broken=True)
