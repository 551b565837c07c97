"""What may be said of a claim, after the judge has looked at the evidence."""

from dataclasses import dataclass
from enum import Enum

from verifier.system.model import Question
from verifier.verdict.trace import Lasso, Trace


class Verdict(Enum):
    """The three answers there are."""

    HOLDS = "holds"
    FAILS = "fails"
    UNKNOWN = "unknown"


class Reach(Enum):
    """How far a `holds`, or a `fails` without a trace, goes."""

    FOREVER = "forever"
    UP_TO = "up to"


class Emptiness(Enum):
    """Whether the claim was ever put to the test."""

    TESTED = "tested"
    NEVER = "never"
    NOT_SO_FAR = "not so far"


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer to one claim.

    `until` is the last tick covered where reach is UP_TO (for UNKNOWN: as far as was seen), None
    else. `trace` shows a failure, or the way of a `possible` that holds; `lasso` an endless one.
    `shortest`: no trace with fewer ticks exists. `fault`: evidence was refused, which is an error
    of ours.
    """

    question: Question
    verdict: Verdict
    reach: Reach | None
    until: int | None
    reason: str
    trace: Trace | None
    lasso: Lasso | None
    empty: Emptiness
    engine: str
    seconds: float
    shortest: bool = False
    fault: bool = False
