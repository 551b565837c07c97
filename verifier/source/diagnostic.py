"""The one shape in which every stage tells a person what is wrong.

Stages make diagnostics as values and go on, so that one run reports all errors of a file; the
renderers are in `verifier.report`.
"""

from dataclasses import dataclass, field
from enum import Enum

from verifier.source.text import Span


class Severity(Enum):
    """How bad it is: an error stops the run with exit status 2, a warning does not."""

    ERROR = "error"
    WARNING = "warning"


@dataclass(frozen=True, slots=True)
class Label:
    """A second place that belongs to a diagnostic, with a few words on why."""

    span: Span
    words: str


@dataclass(frozen=True, slots=True)
class Diagnostic:
    """One thing to tell: a headline that stands alone, the smallest place, and the mend.

    `code` is a word of `verifier.source.codes`; `words` stand beside the caret; `notes` give the
    cause in full sentences; `mend` says what to do about it.
    """

    code: str
    headline: str
    span: Span | None
    words: str = ""
    labels: tuple[Label, ...] = ()
    notes: tuple[str, ...] = ()
    mend: str | None = None
    severity: Severity = Severity.ERROR


@dataclass(slots=True)
class Collector:
    """Gathers the diagnostics of a run, each once, in the order in which they were met."""

    found: list[Diagnostic] = field(default_factory=list)
    _known: set[Diagnostic] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Note what is kept from the start."""
        self._known = set(self.found)

    def add(self, diagnostic: Diagnostic) -> None:
        """Keep a diagnostic unless the very same one is kept already."""
        if diagnostic not in self._known:
            self._known.add(diagnostic)
            self.found.append(diagnostic)

    @property
    def failed(self) -> bool:
        """Whether an error, not only warnings, was met."""
        return any(one.severity is Severity.ERROR for one in self.found)
