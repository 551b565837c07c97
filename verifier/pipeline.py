"""The whole story on one page: from a file to answers.

    text -> tree (syntax) -> design (names, units) -> system (Booleans, clocks)
         -> questions -> evidence (engines) -> judge -> answers

Engines hand in evidence only; `engines.decide` takes none that the judge has not looked at.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from verifier.design import files
from verifier.design.model import Design
from verifier.design.resolve import Wishes, designs_in, resolve
from verifier.design.wording import no_design
from verifier.engines.decide import Decider, Effort
from verifier.simulate.onward import Way, way_on
from verifier.source.diagnostic import Collector, Diagnostic
from verifier.system.lower import lower
from verifier.system.model import Question, System
from verifier.verdict.answer import Answer, Outcome, Verdict


def designs(path: Path, collector: Collector, wishes: Wishes | None = None) -> list[Design]:
    """Return the designs of a file; what is wrong is told, and a wrong design is left out."""
    unit = files.load(path, collector)
    if unit is None:
        return []
    blocks = designs_in(unit)
    if not blocks:
        collector.add(no_design(unit.source.name))
    found = (resolve(block, unit, collector, wishes) for block in blocks)
    return [one for one in found if one is not None]


@dataclass(frozen=True, slots=True)
class CheckSettings:
    """What to check and how hard: all claims unless some are named."""

    claims: tuple[str, ...] = ()
    effort: Effort = field(default_factory=Effort)


def questions(system: System, settings: CheckSettings) -> Sequence[Question]:
    """Return the questions that are wished for, in the order of the design."""
    wanted = settings.claims
    return [one for one in system.questions if not wanted or one.name in wanted]


def rules_out_all(system: System) -> Diagnostic | None:
    """Return the diagnostic that no run keeps the assumptions, where that is so."""
    if system.allowed is system.pool.yes or way_on(system, None)[0] is not Way.NONE:
        return None
    first = system.design.assumptions[0] if system.design.assumptions else None
    return Diagnostic(
        "assume-none",
        f"no run of `{system.design.name}` keeps what is assumed",
        first.span if first else system.design.span,
        notes=("every claim would hold, and none would mean anything",),
        mend="weaken an assumption; try them one at a time",
    )


Progress = Callable[[Question], None]


def check(
    design: Design, settings: CheckSettings, progress: Progress | None = None
) -> Iterator[Answer]:
    """Yield the answer to each claim of a design, in order."""
    system = lower(design)
    yield from answers(system, settings, progress)


def answers(
    system: System, settings: CheckSettings, progress: Progress | None = None
) -> Iterator[Answer]:
    """Yield the answer to each question of a system, in order."""
    unsure = system.allowed is not system.pool.yes and way_on(system, None)[0] is not Way.FOUND
    decider = Decider(system, settings.effort)
    for question in questions(system, settings):
        if progress is not None:
            progress(question)
        outcome = decider.decide(question)
        if unsure and outcome.verdict is Verdict.HOLDS:
            outcome = Outcome(Verdict.UNKNOWN, reason="no run was found that keeps the assumptions")
        yield Answer(question, outcome)


def lowered(design: Design) -> System:
    """Return the system of a design, for those who look at it without asking."""
    return lower(design)
