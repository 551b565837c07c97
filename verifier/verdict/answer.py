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
    """How far an answer goes."""

    FOREVER = "forever"
    UP_TO = "up to"


class Emptiness(Enum):
    """Whether the claim was ever put to the test; where not, the code of its page."""

    TESTED = "tested"
    NEVER = "empty-claim"
    NOT_SO_FAR = "not-tested-so-far"


@dataclass(frozen=True, slots=True)
class Outcome:
    """An answer without its question, made of plain values only, so that it can be sent around.

    `until` is the last tick covered where reach is UP_TO, and for UNKNOWN as far as was seen; None
    else. `trace` shows a failure, or the way of a `possible` that holds; `lasso` an endless run.
    `earliest`: no run gets there sooner. `fault`: evidence was refused, which is an error of ours.
    `reason` says in words why, or how it is known. `engine` names who found it; `effort` is what
    was spent in all, in nominal seconds. `by` names who accepted the proof, and `certificate` is
    its text, where one was wished.
    """

    verdict: Verdict
    reach: Reach | None = None
    until: int | None = None
    reason: str = ""
    trace: Trace | None = None
    lasso: Lasso | None = None
    empty: Emptiness = Emptiness.TESTED
    engine: str = ""
    effort: float = 0.0
    seconds: float = 0.0
    by: tuple[str, ...] = ()
    certificate: str = ""
    earliest: bool = False
    fault: bool = False


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer to one claim."""

    question: Question
    outcome: Outcome
