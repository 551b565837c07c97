"""A design of the bank: text made for any tick, and what is known of each of its claims."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from verifier.design.files import of_source
from verifier.design.resolve import designs_in, resolve
from verifier.engines.contract import Asked, Task
from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.system.cone import cone
from verifier.system.lower import lower
from verifier.system.model import Form, Question, System
from verifier.verdict.answer import Verdict

FINE = 10
"""The short tick that all gardens are tried at, in milliseconds."""


@dataclass(frozen=True, slots=True)
class Claim:
    """A sentence, the verdict that it must get at any tick, and why that is so."""

    name: str
    sentence: str
    verdict: Verdict
    why: str

    def __str__(self) -> str:
        """Return the claim as it stands in a design."""
        return f"  claim {self.name}: {self.sentence}"


def holds(name: str, sentence: str, why: str) -> Claim:
    """Return a claim that holds: for ever, unless it asks whether something is possible."""
    return Claim(name, sentence, Verdict.HOLDS, why)


def fails(name: str, sentence: str, why: str) -> Claim:
    """Return a claim that does not hold."""
    return Claim(name, sentence, Verdict.FAILS, why)


@dataclass(frozen=True, slots=True)
class Garden:
    """A design of a family, of some size, with a fault planted in it or without.

    `rules` are statements for the whole design, `body` its parts. `coarse` is the longest tick, in
    milliseconds, that its spans allow. `fed`: does every part get the units that it needs?
    """

    family: str
    size: str
    body: str
    claims: tuple[Claim, ...]
    rules: str = ""
    coarse: int = 1000
    fed: Verdict = field(default=Verdict.HOLDS)

    @property
    def name(self) -> str:
        """Return family and size."""
        return f"{self.family}, {self.size}" if self.size else self.family

    @property
    def verdicts(self) -> dict[str, Verdict]:
        """Return what is known of each claim, those that every design carries included."""
        known = {"fed": self.fed, "counts": Verdict.HOLDS}
        return known | {claim.name: claim.verdict for claim in self.claims}

    def text(self, tick_ms: int) -> str:
        """Return the design for a tick."""
        claims = "\n".join(map(str, self.claims))
        rules = f"\n  {self.rules}" if self.rules else ""
        return f"design garden {{\n  tick {tick_ms} ms{rules}\n{self.body}\n{claims}\n}}\n"

    def system(self, tick_ms: int) -> System:
        """Return the lowered design."""
        collector = Collector()
        unit = of_source(Source(self.name, self.text(tick_ms)), Path(self.name), collector)
        assert unit is not None, collector.found
        design = resolve(designs_in(unit)[0], unit, collector)
        assert design is not None, collector.found
        return lower(design)


def tasks(system: System) -> dict[str, Task]:
    """Return the task for each claim about something that is never met, by name."""
    return {
        question.name: task for question in system.questions for task in _tasks(question, system)
    }


def _tasks(question: Question, system: System) -> Iterator[Task]:
    match question.form:
        case Form.AVOID | Form.AGAIN:
            asked, target = Asked.BAD, question.bad
        case Form.REACH:
            asked, target = Asked.GOAL, question.goal
        case _:
            return
    roots = [target, system.domain] if question.anywhere else [target]
    yield Task(cone(system, roots), question, asked, target, question.limit, seed=1)
