"""What reports on settings share: values as dialled, claims as they fail, the run that shows it."""

from collections.abc import Iterator
from typing import assert_never

from rich.text import Text

from verifier.report.clock import Clock
from verifier.report.events import events_of
from verifier.report.history import History
from verifier.report.ledger import ledger
from verifier.report.letters import shown
from verifier.report.look import FAINT, STRONG, Board
from verifier.report.presses import presses
from verifier.report.rows import Focus, choose
from verifier.report.verdicts import broken_at
from verifier.simulate.watch import watch
from verifier.system.model import Form, Question, System
from verifier.tuning.dials import Dial, Sort
from verifier.tuning.dials_rig import Rig
from verifier.verdict.answer import Outcome, Verdict
from verifier.verdict.trace import Trace

MOST_EVENTS = 8


def headline(board: Board, rig: Rig, tick_ns: int) -> Iterator[Text]:
    """Yield the name of a design, with its file and tick."""
    facts = f"  {shown(rig.unit.source.name)}, tick {Clock(tick_ns).span(1)}"
    name = (shown(rig.block.name.text), STRONG)
    line = Text.assemble(name, (facts, FAINT))
    if len(line.plain) <= board.width:
        yield line
        return
    yield Text.assemble(name)
    yield Text(facts.strip(), FAINT)


def dialled(dial: Dial, value: int, clock: Clock) -> str:
    """Return a value as people say it."""
    return clock.span(value) if dial.sort is Sort.TIME else str(value)


def how_it_fails(asked: Question, outcome: Outcome, clock: Clock) -> str:
    """Return in words what a claim does where it does not hold for ever, without a full stop."""
    name, trace = f"`{asked.name}`", outcome.trace
    match outcome.verdict:
        case Verdict.UNKNOWN:
            return f"{name} is not known to hold ({outcome.reason})"
        case Verdict.HOLDS:
            return f"{name} is known to hold up to {clock.span(outcome.until or 0)} only"
        case Verdict.FAILS:
            return f"{name} fails{_how(asked.form, outcome, trace, clock)}"
        case _:
            assert_never(outcome.verdict)


def _how(form: Form, outcome: Outcome, trace: Trace | None, clock: Clock) -> str:
    if outcome.lasso is not None:
        return ": a run waits for ever"
    if trace is not None:
        if outcome.away is None and form is Form.OPEN and not trace.length:
            return ": it can never come, proved"
        at = f" at {clock.moment(broken_at(form, trace))}"
        if outcome.away is not None:
            return f"{at}: it takes {outcome.away.words(clock.tick_ns)} from there"
        return f"{at}: from then on it cannot come any more" if form is Form.OPEN else at
    return f": {outcome.reason}" if outcome.reason else ""


def run_of(board: Board, clock: Clock, system: System, trace: Trace) -> Iterator[Text]:
    """Yield the events of a run."""
    design = system.design
    seen = watch(system, trace).readings
    focus = Focus.of(design)
    history = History(clock, seen.length, choose(design, seen, focus).rows)
    yield from ledger(board, clock, events_of(history, presses(design, seen, focus)), MOST_EVENTS)
