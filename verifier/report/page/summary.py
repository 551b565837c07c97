"""The head of a page: facts, the tally of verdicts, and one sentence that says why."""

from collections.abc import Sequence

from verifier.design.model import Design
from verifier.report.clock import Clock
from verifier.report.margins import margin_words
from verifier.report.page.model import Tale
from verifier.verdict.answer import Answer, Margin, Reach, Verdict


def facts(design: Design, wires: int) -> str:
    """Return what the page is about."""
    parts = sum(not part.inside for part in design.parts)
    tick = Clock(design.tick_ns).span(1)
    return f"{design.file} · tick {tick} · {_counted(parts, 'part')}, {_counted(wires, 'wire')}"


def tally(answers: Sequence[Answer]) -> str:
    """Return how many claims fail, or that none does."""
    total = len(answers)
    fails = sum(one.outcome.verdict is Verdict.FAILS for one in answers)
    unknown = sum(one.outcome.verdict is Verdict.UNKNOWN for one in answers)
    if not total:
        return "no claims"
    if fails:
        more = f", {unknown} unknown" if unknown else ""
        return f"{fails} of {_counted(total, 'claim')} {'fails' if fails == 1 else 'fail'}{more}"
    if unknown:
        return f"{unknown} of {_counted(total, 'claim')} {'is' if unknown == 1 else 'are'} unknown"
    return f"all {total} claims hold" if total > 1 else "its claim holds"


def why(answers: Sequence[Answer], tales: Sequence[Tale], clock: Clock) -> str:
    """Return the one sentence to read first."""
    broken = next((tale for tale in tales if tale.broken), None)
    if broken is not None and broken.told:
        last = broken.told[-1]
        if broken.endless:
            return f"{broken.name} waits for ever: {last.words.rpartition(': ')[2]}."
        here = ", in the run told below" if broken.another else ""
        return f"{broken.name} fails{here} at {last.time}: {last.words}."
    for verdict in (Verdict.FAILS, Verdict.UNKNOWN):
        for answer in answers:
            if answer.outcome.verdict is verdict:
                reason = answer.outcome.reason or "see the table"
                return f"{answer.question.name} {_VERBS[verdict]}: {reason}."
    if not answers:
        return "Nothing is claimed of it, so nothing was answered. Below is what it does by itself."
    return _tightest(answers, clock) or _how_far(answers)


_VERBS = {Verdict.FAILS: "fails", Verdict.UNKNOWN: "is unknown"}


def _tightest(answers: Sequence[Answer], clock: Clock) -> str:
    """Return how near runs come to a limit, where they come nearest to one."""
    near = [
        (_slack(margin), answer, margin)
        for answer in answers
        for margin in answer.outcome.margins
        if margin.allowed
    ]
    if not near:
        return ""
    _, answer, margin = min(near, key=lambda one: one[0])
    words = margin_words(margin, Verdict.HOLDS, clock)
    return f"Nearest to its limit is {answer.question.name}: {words}."


def _slack(margin: Margin) -> float:
    allowed = margin.allowed or 1
    return abs(allowed - margin.value) / allowed


def _how_far(answers: Sequence[Answer]) -> str:
    if any(one.outcome.reach is Reach.UP_TO for one in answers):
        return "Some of them only up to a time, which the table names."
    return "Proved for runs of any length, or shown by a run."


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
