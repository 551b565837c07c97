"""Properties of wiring drawings, on designs drawn at random and on the demo designs."""

from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from hypothesis import HealthCheck, given, reject, settings
from hypothesis import strategies as st

from tests.report.make import systems
from tests.strategies.gardens import gardens
from verifier.design.model import Design
from verifier.pipeline import designs
from verifier.report.drawing.plan import WIDEST, PlacedBox, Plan, Segment, plan
from verifier.report.drawing.scheme import Box, Draft, Port, Scheme
from verifier.report.drawing.survey import survey
from verifier.report.drawing.wiring import wiring
from verifier.source.diagnostic import Collector

DESIGNS = sorted((Path(__file__).parents[3] / "designs").glob("*.latch"))


def read(path: Path) -> Design:
    (found,) = designs(path, Collector())
    return found


@st.composite
def schemes(draw: st.DrawFn) -> Scheme:
    """Draw boxes of several ports and wires between any of them, circles and self-loops too."""
    draft = Draft()
    count = draw(st.integers(1, 14))
    for number in range(count):
        draft.place(Box(f"part_{number}", "some", f"part_{number}", "some kind"))
    outputs = [
        draft.output(box, Port(f"out[{port}]", f"part_{box}.out[{port}]", power=power))
        for box in range(count)
        for port in range(draw(st.integers(1, 2)))
        for power in [draw(st.booleans())]
    ]
    for target in range(count):
        for port in range(draw(st.integers(0, 3))):
            source = draw(st.sampled_from(outputs))
            power = draft.outs[source.box][source.port].power
            draft.tie(source, target, Port(f"in[{port}]", power=power))
    return draft.scheme()


def crosses_box(segment: Segment, placed: PlacedBox) -> bool:
    """Whether a segment runs through a box or the texts over and under it; it may touch a side."""
    (left, top), (right, bottom) = segment
    return (
        left < placed.right and placed.x < right and top < placed.bottom and placed.y < bottom
        if left != right
        else placed.x < left < placed.right and top < placed.bottom and placed.y < bottom
    )


def overlap(one: Segment, other: Segment) -> bool:
    """Whether two segments lie on one line and share more than a point."""
    (a, b), (c, d) = one
    (e, f), (g, h) = other
    if b == d == f == h:
        return max(a, e) < min(c, g)
    return a == c == e == g and max(b, f) < min(d, h)


def meet(one: Segment, other: Segment) -> bool:
    """Whether two segments share a point."""
    (left, top), (right, bottom) = one
    (other_left, other_top), (other_right, other_bottom) = other
    aside = right < other_left or other_right < left
    return not aside and not (bottom < other_top or other_bottom < top)


def reached(found: Plan) -> None:
    """Each wire runs from its source to all of its ends."""
    for wire in found.wires:
        todo = [one for one in wire.segments if wire.source in one]
        seen = set(todo)
        while todo:
            one = todo.pop()
            fresh = {other for other in wire.segments if meet(one, other)} - seen
            seen |= fresh
            todo += fresh
        assert seen == set(wire.segments)
        assert set(wire.ends) <= {point for one in seen for point in one}


def sound(found: Plan) -> None:
    """Nothing runs through a box, boxes and wires keep apart, and wires arrive."""
    for one, other in combinations(found.boxes, 2):
        aside = one.right <= other.x or other.right <= one.x
        assert aside or one.bottom <= other.y or other.bottom <= one.y
    for wire in found.wires:
        for segment in wire.segments:
            assert not any(crosses_box(segment, placed) for placed in found.boxes)
    for here, there in combinations(found.wires, 2):
        assert not any(overlap(one, other) for one in here.segments for other in there.segments)
    reached(found)


def ties(scheme: Scheme) -> set[tuple[str, str, str, int]]:
    return {
        (
            scheme.boxes[wire.source.box].key,
            scheme.source(wire).path,
            scheme.boxes[one.box].key,
            one.port,
        )
        for wire in scheme.wires
        for one in wire.targets
    }


def drawn_ties(found: Plan) -> int:
    """Return how many wires end at a box of the design, in any band."""
    return sum(not key.startswith("tag ") for wire in found.wires for key, _ in wire.targets)


@given(schemes())
@settings(max_examples=60, deadline=None)
def test_any_scheme_is_laid_out_soundly(scheme: Scheme) -> None:
    found = plan(scheme)
    sound(found)
    assert drawn_ties(found) == len(ties(scheme))
    assert {one.box.key for one in found.boxes} >= {box.key for box in scheme.boxes}


@given(schemes())
@settings(max_examples=25, deadline=None)
def test_bands_are_sound_too_and_narrow(scheme: Scheme) -> None:
    narrow = plan(scheme, 500.0)
    sound(narrow)
    assert drawn_ties(narrow) == len(ties(scheme))


@given(gardens())
@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
def test_random_gardens_are_drawn_soundly_and_alike(text: str) -> None:
    try:
        design = systems(text)[0].design
    except AssertionError:
        reject()  # a loop within a tick: no design at all
    sound(plan(survey(design)))
    picture = wiring(design)
    assert picture == wiring(design)
    ET.fromstring(picture)  # noqa: S314 - what we wrote ourselves


@pytest.mark.parametrize("path", DESIGNS, ids=lambda path: path.stem)
def test_demo_designs_are_drawn_soundly(path: Path) -> None:
    design = read(path)
    found = plan(survey(design))
    sound(found)
    assert found.width <= WIDEST
    top = {part.path for part in design.parts if not part.inside}
    assert {one.box.key for one in found.boxes if one.box.key in top} == top


def test_every_wire_of_a_design_is_in_its_scheme() -> None:
    """A wire as written leads from its output to its input, whatever stands beside it."""
    for path in DESIGNS:
        design = read(path)
        top = {part.path for part in design.parts if not part.inside}
        scheme = survey(design)
        found = {
            (scheme.source(wire).path, scheme.boxes[one.box].ins[one.port].path)
            for wire in scheme.wires
            for one in wire.targets
        }
        for wire in design.wires:
            if wire.source.part in top and wire.target.part in top:
                assert (wire.source.path, wire.target.path) in found


def test_sixty_parts_are_still_fine() -> None:
    draft = Draft()
    for number in range(60):
        draft.place(Box(f"part_{number}", "some", f"part_{number}", "some kind"))
    for number in range(1, 60):
        for port, step in enumerate((1, 7)):
            source = draft.output((number * 13) % number, Port("out", f"p{(number * 13) % number}"))
            if number >= step:
                draft.tie(source, number, Port(f"in[{port}]"))
    found = plan(draft.scheme())
    sound(found)
    assert found.width <= WIDEST


def test_conditions_become_gates_with_marks() -> None:
    text = """design d {
  a : button
  b : button
  c : latch
  c.set when a starts and not b
  c.reset when b or a or c
}"""
    scheme = survey(systems(text)[0].design)
    gates = {box.kind: box for box in scheme.boxes if box.kind in ("and", "or")}
    assert [(port.edge, port.negated) for port in gates["and"].ins] == [
        (True, False),
        (False, True),
    ]
    assert len(gates["or"].ins) == 3


def test_names_and_signs_of_the_writing_are_escaped() -> None:
    text = 'design d "<&" {\n  a : button\n  b : latch\n  a -> b.set\n}'
    root = ET.fromstring(wiring(systems(text)[0].design, "w<1"))  # noqa: S314 - what we wrote ourselves
    assert root.get("role") == "img"
    assert not list(root.iter("script"))
    ids = [one.get("id") for one in root.iter() if one.get("id")]
    assert len(ids) == len(set(ids))
