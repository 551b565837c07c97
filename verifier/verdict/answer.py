"""What may be said of a claim, after the judge has looked at the evidence."""

from dataclasses import dataclass
from enum import Enum

from verifier.design.bounds import Measure
from verifier.source.times import span
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
class Margin:
    """The hardest case there is of what a claim bounds.

    With `value` in place of `allowed`, the bound that it states (None: it states none), the claim
    holds for ever; that was proved. `exact`: with a harder bound it does not, as `trace` shows, a
    run of the design. Both are in ticks; for Measure.TIMES they say how often.
    """

    measure: Measure
    value: int
    allowed: int | None
    exact: bool
    trace: Trace | None = None


@dataclass(frozen=True, slots=True)
class Away:
    """How many ticks it takes at the least from the end of a run; `exact`: it takes no more."""

    ticks: int
    exact: bool

    def words(self, tick_ns: int) -> str:
        """Say it as a length of time."""
        if self.exact:
            return f"{span(self.ticks * tick_ns)} at the least"
        return f"more than {span((self.ticks - 1) * tick_ns)}"


@dataclass(frozen=True, slots=True)
class Outcome:
    """An answer without its question, made of plain values only, so that it can be sent around.

    `until` is the last tick covered where reach is UP_TO, and for UNKNOWN as far as was seen; None
    else. `trace` shows a failure, or the way of a `possible` that holds; `lasso` an endless run.
    `away` tells how far what is to be within reach in time is after the trace. `earliest`: no run
    gets there sooner. `fault`: evidence was refused, which is an error of ours. `margins` tell how
    near runs come to each number of the claim, where that is known. `reason` says in words why, or
    how it is known. `engine` names who found it; `effort` is what was spent in all, in nominal
    seconds. `by` names who accepted the proof, and `certificate` is its text, where one was wished.
    """

    verdict: Verdict
    reach: Reach | None = None
    until: int | None = None
    reason: str = ""
    trace: Trace | None = None
    lasso: Lasso | None = None
    away: Away | None = None
    empty: Emptiness = Emptiness.TESTED
    engine: str = ""
    effort: float = 0.0
    seconds: float = 0.0
    by: tuple[str, ...] = ()
    certificate: str = ""
    earliest: bool = False
    fault: bool = False
    margins: tuple[Margin, ...] = ()


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer to one claim."""

    question: Question
    outcome: Outcome
