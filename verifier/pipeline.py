"""The whole story on one page: from a file to answers.

    text -> tree (syntax) -> design (names, units) -> system (Booleans, clocks)
         -> questions -> evidence (engines) -> judge -> answers

Engines hand in evidence only; `engines.decide` takes none that the judge has not looked at.
"""

import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from verifier.design import files
from verifier.design.model import Design
from verifier.design.resolve import Wishes, designs_in, resolve
from verifier.design.wording import no_design
from verifier.engines.child import Lost
from verifier.engines.crew import FORKS, Cores, Crew
from verifier.engines.decide import Decider, Effort
from verifier.logic import native
from verifier.simulate.endless import shorter
from verifier.simulate.onward import Way, way_on
from verifier.simulate.variations import shortened
from verifier.source.diagnostic import Collector, Diagnostic
from verifier.system.lower import lower
from verifier.system.model import Form, Question, System
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
    """What to check and how hard: all claims unless some are named; on `jobs` cores (0: all)."""

    claims: tuple[str, ...] = ()
    effort: Effort = field(default_factory=Effort)
    jobs: int = 0


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
    asked = questions(system, settings)
    no_run = Outcome(Verdict.UNKNOWN, reason="no run was found that keeps the assumptions")
    for question, outcome in zip(asked, _decided(system, settings, asked), strict=True):
        if progress is not None:
            progress(question)
        holds = outcome.verdict is Verdict.HOLDS
        yield Answer(question, no_run if unsure and holds else outcome)


def _decided(
    system: System, settings: CheckSettings, asked: Sequence[Question]
) -> Iterator[Outcome]:
    """Decide questions side by side on the cores; what is decided does not hang on how many."""
    if not FORKS or not asked:
        yield from map(partial(_decide, Decider(system, settings.effort)), asked)
        return
    native.load()
    free = Cores(settings.jobs or cores())
    decider = Decider(system, settings.effort, free)
    crew = Crew(free, settings.effort.memory, Outcome)
    works = [partial(_decide, decider, question) for question in asked]
    # What takes longest is begun first, so that no core waits for it alone in the end.
    order = sorted(range(len(asked)), key=lambda number: -_LIGHT.index(asked[number].form))
    for found in crew.results(works, order):
        yield Outcome(Verdict.UNKNOWN, reason=found.words) if isinstance(found, Lost) else found


def _decide(decider: Decider, question: Question) -> Outcome:
    """Decide a question, and make the run that shows it short."""
    found = decider.decide(question)
    # Where no memory is left the answer stands, with the run as it was found.
    with suppress(MemoryError):
        found = shorter(decider.system, question, shortened(decider.system, question, found))
    return found


_LIGHT = (Form.AVOID, Form.REACH, Form.AGAIN, Form.OPEN)
"""Forms of claims, from those that are mostly answered soon to those that take time."""


def cores() -> int:
    """Return how many cores this process may use."""
    affinity = getattr(os, "sched_getaffinity", None)
    return len(affinity(0)) if affinity else os.cpu_count() or 1


def lowered(design: Design) -> System:
    """Return the system of a design, for those who look at it without asking."""
    return lower(design)
