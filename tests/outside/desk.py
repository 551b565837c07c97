"""A text with one design in; what is answered to its claims, its rhythm or its best way out."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from tests.puzzle.desk import asked
from verifier import pipeline
from verifier.design import files
from verifier.design.model import Design
from verifier.design.resolve import Wishes, designs_in, resolve
from verifier.engines.decide import Effort
from verifier.puzzle.goal import Goal, goal_of
from verifier.puzzle.route import Routed, find_route
from verifier.puzzle.space_paths import Order
from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.system.model import System
from verifier.tuning.cycle import Loop
from verifier.tuning.rhythm import Rhythm, Stretch, rhythm_of
from verifier.verdict.answer import Outcome, Reach, Verdict
from verifier.verdict.trace import Trace


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


def _told(collector: Collector) -> list[str]:
    return [one.headline for one in collector.found]


def design_of(text: str, values: Mapping[str, str] | None = None) -> Design:
    """Return the one design of a text; no message is expected but warnings.

    `values` are those of its settings and parameters that differ from what the text says.
    """
    collector = Collector()
    source = Source("outside.latch", text)
    unit = files.of_source(source, Path("outside.latch"), collector)
    assert unit is not None, _told(collector)
    (block,) = designs_in(unit)
    design = resolve(block, unit, collector, Wishes(values or {}))
    assert design is not None, _told(collector)
    return design


def system_of(text: str, values: Mapping[str, str] | None = None) -> System:
    """Return the system of the one design of a text."""
    return pipeline.lowered(design_of(text, values))


def goal(name: str, words: str, values: Mapping[str, str] | None = None) -> Goal:
    """Return a goal asked of a published puzzle."""
    collector = Collector()
    unit = files.load(PUZZLES / f"{name}.latch", collector)
    assert unit is not None, _told(collector)
    (block,) = designs_in(unit)
    found = goal_of(block, unit, words, collector, Wishes(values or {}))
    assert found is not None, _told(collector)
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


def broken(text: str, values: Mapping[str, str] | None = None, *, all_fed: bool = True) -> set[str]:
    """Return the names of the claims that fail; all others hold, for all time."""
    found = verdicts(text, values, all_fed=all_fed)
    assert all(one.holds or one.fails for one in found.values()), found
    return {name for name, one in found.items() if one.fails}


def rhythm(text: str, values: Mapping[str, str] | None = None) -> Rhythm:
    """Return the rhythm of the one design of a text, when it is left alone."""
    design = design_of(text, values)
    return rhythm_of(design, pipeline.lowered(design), Trace(()))


def loop(found: Rhythm) -> tuple[int, int]:
    """Return when a design settles and its period, in ticks; it must not come to rest."""
    assert isinstance(found.loop, Loop)
    assert found.loop.period is not None
    return found.loop.settles, found.loop.period


def lit(found: Rhythm, name: str) -> tuple[Stretch, ...]:
    """Return the stretches of a round in which an item is on, in ticks."""
    return next(one.on for one in found.beats if one.item.name == name)


def quickest(text: str, words: str, *, listed: int = 0) -> Routed:
    """Return the quickest way to a goal of the one design of a text."""
    return find_route(asked(text, words), Order.TIME, Effort(seconds=2.0), listed=listed)
