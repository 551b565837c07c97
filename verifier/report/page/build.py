"""From a design and its answers to all that stands on its page."""

from collections.abc import Iterator, Sequence

from verifier.causes.reasons import Reasons
from verifier.design.model import Design, Part
from verifier.report.clock import Clock
from verifier.report.drawing.plan import plan
from verifier.report.drawing.survey import survey
from verifier.report.drawing.wiring import drawn
from verifier.report.graph import Graph
from verifier.report.look import BLOCK
from verifier.report.page import states, summary
from verifier.report.page.keys import key
from verifier.report.page.model import ClaimLine, Page, PartLine, Tale
from verifier.report.page.tales import WIRING, Scene, rest_of, tale_of
from verifier.report.simulation import simulation
from verifier.report.story import story
from verifier.report.verdicts import words_for
from verifier.simulate.told import played
from verifier.source.text import Span
from verifier.system.model import System
from verifier.verdict.answer import Answer, Verdict

_LATCHES = {
    BLOCK.latch_holds: "holds",
    BLOCK.latch_until: "until",
    BLOCK.latch_fails: "fails",
    BLOCK.latch_unknown: "unknown",
    BLOCK.latch_empty: "empty",
}

_BESIDE = 860.0
"""The widest wiring that leaves room for the why beside it."""


def page_of(system: System, answers: Sequence[Answer]) -> Page:
    """Return the page of a design; `answers` may be those of some of its claims."""
    design = system.design
    clock = Clock(design.tick_ns)
    # What is built in comes last: a person looks for the claims that they wrote.
    answers = sorted(answers, key=lambda one: one.question.claim.built_in is not None)
    found = plan(survey(design))
    tops = frozenset(part.path for part in design.parts if not part.inside)
    scene = Scene(system, found, Graph.of(design), tops)
    tales, shown = _tales(scene, answers)
    rest = simulation(system, played(system, [], 1), onward=True)
    things = scene.things(rest.readings)
    if not tales:
        tales = [rest_of(scene, rest.history, rest.readings, 0)]
    wires = sum(not key.startswith("tag ") for wire in found.wires for key, _ in wire.targets)
    return Page(
        name=design.name,
        facts=summary.facts(design, wires),
        tally=summary.tally(answers),
        fails=any(one.outcome.verdict is Verdict.FAILS for one in answers),
        why=summary.why(answers, tales, clock),
        claims=tuple(_claim(answer, clock, shown.get(at)) for at, answer in enumerate(answers)),
        tales=tuple(tales),
        wiring=drawn(design, found, WIRING),
        wide=found.width > _BESIDE,
        parts=tuple(_parts(design, Reasons(system, rest.readings))),
        things=tuple(one.ids for one in things),
        keys=tuple(key(clock)),
        file=design.file,
        source=tuple(design.span.source.text.splitlines()),
        tick_ns=design.tick_ns,
    )


def _tales(scene: Scene, answers: Sequence[Answer]) -> tuple[list[Tale], dict[int, int]]:
    """Return the tales, failing claims first; and which of them shows which answer."""
    order = sorted(
        range(len(answers)), key=lambda at: answers[at].outcome.verdict is not Verdict.FAILS
    )
    tales: list[Tale] = []
    shown: dict[int, int] = {}
    for at in order:
        told = story(scene.system, answers[at])
        if told is not None:
            shown[at] = len(tales)
            tales.append(tale_of(scene, answers[at], told, len(tales)))
    return tales, shown


def _claim(answer: Answer, clock: Clock, tale: int | None) -> ClaimLine:
    claim = answer.question.claim
    said = words_for(answer, clock, BLOCK)
    return ClaimLine(
        _LATCHES[said.latch],
        claim.name,
        claim.text or "",
        claim.written,
        said.verdict,
        said.how,
        said.remarks,
        0 if claim.built_in is not None else claim.span.line,
        tale,
    )


def _parts(design: Design, reasons: Reasons) -> Iterator[PartLine]:
    """Yield parts, then what the design itself declares, as `Scene.things` numbers them."""
    at = 0
    for part in design.parts:
        if not part.inside:
            told = ", ".join(_told(part))
            line = _line(design, part.span)
            yield PartLine(f"now-{at}", part.path, part.kind, told, part.draw, line)
            at += 1
    for own in states.of_design(reasons):
        yield PartLine(f"now-{at}", own.name, own.sort, "", 0, _line(design, own.item.span))
        at += 1


def _told(part: Part) -> Iterator[str]:
    """Yield what a part was told, without what goes without saying; its draw stands by itself."""
    for name, value in part.arguments:
        if value == "yes":
            yield name
        elif value not in ("no", "anywhere") and name != "draw":
            yield f"{name} {value}"


def _line(design: Design, span: Span) -> int:
    return span.line if span.source is design.span.source else 0
