"""How near runs come to what a claim allows, in a few words."""

from typing import assert_never

from verifier.design.bounds import Bound, Measure
from verifier.report.clock import Clock
from verifier.verdict.answer import Margin, Verdict


def margin_words(margin: Margin, verdict: Verdict, clock: Clock) -> str:
    """Return a sentence without its full stop; what no run shows is not said to happen."""
    value = _amount(margin.measure, margin.value, clock)
    if verdict is Verdict.FAILS:
        harder = "with less" if _most(margin) else "with more"
        return f"it would hold with {value}{f', not {harder}' if margin.exact else ''}"
    if margin.measure is Measure.FARTHEST and not margin.value:
        return "it can come at once, whatever was done before"
    worst = _happens(margin.measure, value) if margin.exact else _none(margin.measure, value)
    return f"{worst}{_against(margin, clock)}"


def _most(margin: Margin) -> bool:
    return Bound(margin.measure, margin.allowed).easier > 0


def _amount(measure: Measure, value: int, clock: Clock) -> str:
    if measure is Measure.TIMES:
        return f"{value} time{'' if value == 1 else 's'}"
    return clock.span(value)


def _against(margin: Margin, clock: Clock) -> str:
    """Say what is allowed or needed, where the claim names it."""
    if margin.allowed is None:
        return ""
    if margin.allowed == margin.value:
        return ", all that is allowed" if _most(margin) else ", no more than is needed"
    word = "allowed" if _most(margin) else "needed"
    return f" ({_amount(margin.measure, margin.allowed, clock)} {word})"


def _happens(measure: Measure, value: str) -> str:
    match measure:
        case Measure.LONGEST:
            return f"the longest lasts {value}"
        case Measure.SHORTEST:
            return f"the shortest lasts {value}"
        case Measure.GAP:
            return f"the longest wait for it is {value}"
        case Measure.ANSWER:
            return f"the slowest answer takes {value}"
        case Measure.LATEST:
            return f"at the latest it comes after {value}"
        case Measure.SOONEST:
            return f"the soonest is after {value}"
        case Measure.STEP:
            return f"the longest step takes {value}"
        case Measure.TIMES:
            return f"the most there are is {value}"
        case Measure.FARTHEST:
            return f"at the farthest it is {value} away"
        case _:
            assert_never(measure)


def _none(measure: Measure, value: str) -> str:
    match measure:
        case Measure.LONGEST:
            return f"none lasts longer than {value}"
        case Measure.SHORTEST:
            return f"none is shorter than {value}"
        case Measure.GAP | Measure.ANSWER | Measure.STEP:
            return f"it takes at most {value}"
        case Measure.LATEST:
            return f"it comes no later than after {value}"
        case Measure.SOONEST:
            return f"it comes no sooner than after {value}"
        case Measure.TIMES:
            return f"there are at most {value}"
        case Measure.FARTHEST:
            return f"it is never more than {value} away"
        case _:
            assert_never(measure)
