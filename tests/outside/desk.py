"""A text with one design in, the verdicts of its claims out, by name."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from verifier import pipeline
from verifier.design import files
from verifier.design.resolve import Wishes, designs_in, resolve
from verifier.puzzle.goal import Goal, goal_of
from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.system.model import System
from verifier.verdict.answer import Outcome, Reach, Verdict


@dataclass(frozen=True, slots=True)
class Answered:
    """What was answered to one claim; `holds` and `fails` are sure, for all time."""

    outcome: Outcome

    @property
    def holds(self) -> bool:
        """It holds, and not only up to some time."""
        return self.outcome.verdict is Verdict.HOLDS and self.outcome.reach is Reach.FOREVER

    @property
    def fails(self) -> bool:
        """It fails."""
        return self.outcome.verdict is Verdict.FAILS

    @property
    def tick(self) -> int | None:
        """The last tick of the run that is shown, None where none is."""
        return None if self.outcome.trace is None else self.outcome.trace.length - 1

    @property
    def earliest(self) -> int | None:
        """As `tick`, where no run is shorter; None where that is not known."""
        return self.tick if self.outcome.earliest else None


PUZZLES = Path(__file__).parent / "puzzles"
"""Published puzzles, written in the language; where each is from stands in its head."""


def puzzle(name: str) -> str:
    """Return the text of a published puzzle."""
    return (PUZZLES / f"{name}.latch").read_text(encoding="utf-8")


def system_of(text: str, values: Mapping[str, str] | None = None) -> System:
    """Return the system of the one design of a text; no message is expected but warnings.

    `values` are those of its settings and parameters that differ from what the text says.
    """
    collector = Collector()
    source = Source("outside.latch", text)
    unit = files.of_source(source, Path("outside.latch"), collector)
    assert unit is not None, collector.found
    (block,) = designs_in(unit)
    design = resolve(block, unit, collector, Wishes(values or {}))
    assert design is not None, collector.found
    return pipeline.lowered(design)


def goal(name: str, words: str, values: Mapping[str, str] | None = None) -> Goal:
    """Return a goal asked of a published puzzle."""
    collector = Collector()
    unit = files.load(PUZZLES / f"{name}.latch", collector)
    assert unit is not None, collector.found
    (block,) = designs_in(unit)
    found = goal_of(block, unit, words, collector, Wishes(values or {}))
    assert found is not None, collector.found
    return found


def verdicts(
    text: str, values: Mapping[str, str] | None = None, *, all_fed: bool = True
) -> dict[str, Answered]:
    """Return what is answered to each claim that the text makes; what is built in must not fail."""
    answers = list(pipeline.answers(system_of(text, values), pipeline.CheckSettings()))
    assert not [one.question.name for one in answers if one.outcome.fault]
    built_in = {one.question.name for one in answers if one.question.claim.built_in}
    found = {one.question.name: Answered(one.outcome) for one in answers}
    assert not (all_fed and [name for name in built_in if found[name].fails])
    return {name: one for name, one in found.items() if name not in built_in}
