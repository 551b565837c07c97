"""What an answer is called: in a few words, how sure it is, and which latch stands for it."""

from dataclasses import dataclass

from verifier.report.clock import Clock
from verifier.report.look import BROKEN, INK, STRONG, Letters
from verifier.report.margins import margin_words
from verifier.system.model import Form, Question
from verifier.verdict.answer import Answer, Emptiness, Reach, Verdict
from verifier.verdict.trace import Trace


@dataclass(frozen=True, slots=True)
class Words:
    """The words for one answer; `remarks` are sentences that follow it."""

    latch: str
    style: str
    verdict: str
    how: str
    remarks: tuple[str, ...] = ()


def words_for(answer: Answer, clock: Clock, letters: Letters) -> Words:
    """Return what is said of an answer."""
    outcome = answer.outcome
    match outcome.verdict:
        case Verdict.FAILS:
            how = _how(answer, "proved" if outcome.trace is None else "shown")
            return Words(
                letters.latch_fails, BROKEN, _fails(answer, clock), how, _remarks(answer, clock)
            )
        case Verdict.UNKNOWN:
            seen = f", kept up to {clock.span(outcome.until)}" if outcome.until else ""
            latch = letters.latch_unknown
            return Words(latch, STRONG, "unknown", seen.removeprefix(", "), _remarks(answer, clock))
        case _:
            return _holds(answer, clock, letters)


def _fails(answer: Answer, clock: Clock) -> str:
    outcome = answer.outcome
    if outcome.lasso is not None:
        out = answer.question.form is Form.OPEN
        return "fails: out of reach" if out else "fails: waits for ever"
    if outcome.trace is None:
        return "fails: never possible" if answer.question.form is Form.REACH else "fails"
    tick = broken_at(answer.question.form, outcome.trace)
    return f"fails after {clock.moment(tick)}" if tick else "fails at the start"


def broken_at(form: Form, trace: Trace) -> int:
    """Return the tick at which a run that shows so has broken a claim of this form.

    What is always to be possible is out of reach after the run, by what people do at its last tick.
    """
    return trace.length - (0 if form is Form.OPEN else 1)


def _holds(answer: Answer, clock: Clock, letters: Letters) -> Words:
    outcome = answer.outcome
    if outcome.empty is Emptiness.NEVER:
        how = _how(answer, "proved")
        return Words(letters.latch_empty, STRONG, "holds, but empty", how, _remarks(answer, clock))
    if outcome.trace is not None:
        tick = outcome.trace.length - 1
        verdict = f"possible after {clock.moment(tick)}" if tick else "possible at the start"
        how = _how(answer, "proved" if answer.question.whatever else "shown")
        return Words(letters.latch_holds, INK, verdict, how, _remarks(answer, clock))
    if outcome.reach is Reach.UP_TO and outcome.until is not None:
        verdict = f"holds up to {clock.span(outcome.until)}"
        how = _how(answer, "all runs seen")
        return Words(letters.latch_until, INK, verdict, how, _remarks(answer, clock))
    return Words(
        letters.latch_holds, INK, "holds for ever", _how(answer, "proved"), _remarks(answer, clock)
    )


def _how(answer: Answer, word: str) -> str:
    outcome = answer.outcome
    sooner = ", none sooner" if outcome.earliest and outcome.trace is not None else ""
    engine = f" ({outcome.engine})" if outcome.engine else ""
    return f"{word}{sooner}{engine}"


def _remarks(answer: Answer, clock: Clock) -> tuple[str, ...]:
    outcome = answer.outcome
    found = [margin_words(one, outcome.verdict, clock) for one in outcome.margins]
    found += [outcome.reason] if outcome.reason else []
    match outcome.empty:
        case Emptiness.NEVER:
            what = "never put to the test: what it speaks of does not happen in any run"
            found.append(f"{what} ({outcome.empty.value})")
        case Emptiness.NOT_SO_FAR:
            what = "not put to the test so far: no run was found in which it matters"
            found.append(f"{what} ({outcome.empty.value})")
        case _:
            pass
    if outcome.verdict is Verdict.UNKNOWN:
        found.append(_try(answer.question))
    if outcome.fault:
        found.append("evidence was refused on the way, which is a fault of ours: please report it")
    return tuple(found)


def _try(question: Question) -> str:
    """Return what may help where there is no answer."""
    if question.whatever:
        return "ask it without `whatever the spans`, or draw the spans from narrower ranges"
    if question.form in {Form.AGAIN, Form.OPEN}:
        # No answer of these goes up to a time, so a shorter one is no help.
        return "try more --effort, or a coarser tick"
    return "try more --effort, a shorter --for, or a coarser tick"
