"""From a run to a tale: what happened, why, and how each thing looked."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from verifier.causes.reasons import Reasons
from verifier.report.drawing.plan import Plan
from verifier.report.drawing.timeline import Mark, sheets
from verifier.report.drawing.wiring import part_id
from verifier.report.events import Event, Kind, folded, shortened
from verifier.report.graph import Graph
from verifier.report.history import History
from verifier.report.page import looks, states
from verifier.report.page.looks import Thing
from verifier.report.page.model import Tale, Told
from verifier.report.page.moments import said
from verifier.report.story import Story
from verifier.simulate.readings import Readings
from verifier.system.model import Form, System
from verifier.verdict.answer import Answer, Verdict

WIRING = "wiring"
"""The prefix of ids in the wiring drawing."""

_MOST = 40  # lines of a why
_BREAK = "×"
_ENDS = (Kind.BREAK, Kind.GOAL)


@dataclass(frozen=True, slots=True)
class Scene:
    """What is the same in all tales of a page."""

    system: System
    plan: Plan
    graph: Graph
    parts: frozenset[str]

    def things(self, readings: Readings) -> list[Thing]:
        """Return wires, parts, and what the design itself declares."""
        reasons = Reasons(self.system, readings)
        found = list(looks.wires(reasons, self.plan, WIRING))
        tops = [part for part in self.system.design.parts if not part.inside]
        for at, part in enumerate(tops):
            ids = (f"{WIRING}-{part_id(part.path)}", f"now-{at}")
            found.append(Thing(ids, states.of_part(reasons, part, self.graph)))
        for at, own in enumerate(states.of_design(reasons), start=len(tops)):
            found.append(Thing((f"now-{at}",), own.course))
        return found


def tale_of(scene: Scene, answer: Answer, story: Story, number: int) -> Tale:
    """Return the tale of an answer."""
    name = answer.question.name
    statement = " ".join(filter(None, (story.other, *story.needs)))
    last = story.events[-1] if story.events and story.events[-1].kind in _ENDS else None
    claim = answer.question.claim
    line = 0 if claim.built_in is not None else claim.span.line
    run = _Run(scene, story.history, story.readings, story.events, last, line)
    return replace(run.tale((name, _title(answer), statement), number), another=bool(story.other))


def rest_of(scene: Scene, history: History, readings: Readings, number: int) -> Tale:
    """Return the tale of a run in which nobody acts."""
    name = scene.system.design.name
    run = _Run(scene, history, readings, (), None)
    return run.tale((name, f"What {name} does if nobody acts", ""), number)


def _title(answer: Answer) -> str:
    name, outcome = answer.question.name, answer.outcome
    if outcome.verdict is Verdict.HOLDS:
        return f"How {name} is reached"
    if answer.question.form is Form.OPEN:
        return f"How {name} gets out of reach"
    if outcome.lasso is not None:
        return f"How {name} waits for ever"
    return f"How {name} comes to be broken"


@dataclass(frozen=True, slots=True)
class _Run:
    scene: Scene
    history: History
    readings: Readings
    events: Sequence[Event]
    last: Event | None
    line: int = 0

    def tale(self, words: tuple[str, str, str], number: int) -> Tale:
        name, title, statement = words
        history = self.history
        things = self.scene.things(self.readings)
        rows = [looks.row((), row) for row in history.rows]
        happens = said(Reasons(self.scene.system, self.readings), self.last)
        ticks = {0, *happens}
        ticks.update(tick for one in (*things, *rows) for tick, _ in one.course)
        ordered = tuple(sorted(tick for tick in ticks if tick < history.length))
        told, marks, left_out = self._told()
        drawn = sheets(history, name, f"time-{number}", marks)
        stop = None if self.last is None else self.last.tick
        return Tale(
            name,
            title,
            statement,
            tuple(told),
            left_out,
            history.resting,
            self._again(),
            history.length,
            ordered,
            tuple(tuple(happens.get(tick, ())) for tick in ordered),
            tuple(one.course for one in things),
            tuple(one.course for one in rows),
            tuple(drawn),
            stop,
            self.last is not None and self.last.kind is Kind.BREAK,
            self.history.again is not None,
        )

    def _told(self) -> tuple[list[Told], list[Mark], int]:
        """Return the lines of the why, their tags on the diagram, and how many are left out."""
        clock = self.history.clock
        first, left_out, last = shortened(folded(self.events, clock), _MOST)
        told: list[Told] = []
        marks: list[Mark] = []
        for event in (*first, *last):
            mark = _BREAK if event.kind is Kind.BREAK else str(len(told) + 1)
            words = f"{event.words}, {event.repeats}" if event.repeats else event.words
            names = event.about.split(" and ")
            on = tuple(f"{WIRING}-{part_id(name)}" for name in names if name in self.scene.parts)
            line = self.line if event.kind is Kind.BREAK else event.line
            time = clock.moment(event.tick)
            told.append(Told(mark, event.tick, time, event.kind, words, event.reasons, line, on))
            if event.kind is Kind.BREAK and self.history.rows[-1].note == "claim":
                marks.append(Mark(self.history.rows[-1].name, event.tick, mark, broken=True))
            marks.extend(Mark(name, event.seen, mark) for name in names)
        return told, marks, left_out

    def _again(self) -> str:
        again, clock = self.history.again, self.history.clock
        if again is None:
            return ""
        if all(tick <= again.start for tick in self.history.events):
            return f"From {clock.moment(again.start)} on nothing changes any more."
        times = "for ever" if again.times is None else f"{again.times} times more"
        start = clock.moment(again.start)
        return f"From {start} on all of it comes again every {clock.span(again.period)}, {times}."
