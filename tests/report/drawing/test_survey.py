"""What becomes of each sort of condition in a wiring drawing, and what is told beside a box."""

import pytest

from tests.report.make import system
from verifier.report.drawing.scheme import Box, Port, Scheme
from verifier.report.drawing.survey import survey

HEAD = """\
design yard {
  a : button
  b : button
  c : button
  clock : pulse(2 s)
  hall : busbar(ways: 2)
  rooms lawn, grotto
  passage lawn <-> grotto takes 1 s
  walker guest starts in lawn
  keep rest: timer
  rest loads 2 s when a
  keep tally: count 0..9
  tally becomes 3 when b
  keep mood: one of (calm, cross)
  mood becomes cross when tally > 2
  free wind: signal
"""


def scheme(condition: str) -> Scheme:
    text = f"{HEAD}  bolt : latch\n  bolt.set when {condition}\n}}\n"
    return survey(system(text).design)


def feeding(found: Scheme, key: str = "bolt") -> list[tuple[Box, Port]]:
    """Return what leads to the inputs of a box, each with how it is read there."""
    at = next(n for n, box in enumerate(found.boxes) if box.key == key)
    ends = {
        one.port: found.boxes[wire.source.box]
        for wire in found.wires
        for one in wire.targets
        if one.box == at
    }
    return [(ends[port], found.boxes[at].ins[port]) for port in sorted(ends)]


def marks(found: Scheme, key: str = "bolt") -> list[tuple[str, bool, bool]]:
    return [(box.key.split()[0], port.negated, port.edge) for box, port in feeding(found, key)]


@pytest.mark.parametrize(
    ("condition", "reads"),
    [
        ("a", ("a", False, False)),
        ("not a", ("a", True, False)),
        ("not not a", ("a", False, False)),
        ("a starts", ("a", False, True)),
        ("a ends", ("a", True, True)),
        ("not a starts", ("a", True, True)),
        ("wind", ("wind", False, False)),
        ("(yes when a else no)", ("a", False, False)),
        ("(no when a else yes)", ("a", True, False)),
    ],
)
def test_a_plain_condition_needs_no_gate(condition: str, reads: tuple[str, bool, bool]) -> None:
    if condition == "not a starts":  # an edge that is not there needs a box between
        reads = ("same", True, False)
    assert marks(scheme(condition)) == [reads]


def test_an_edge_of_an_edge_has_a_box_between() -> None:
    found = scheme("(a starts) ends")
    assert marks(found) == [("same", True, True)]
    (between,) = [box for box, _ in feeding(found)]
    assert marks(found, between.key) == [("a", False, True)]


@pytest.mark.parametrize(
    ("condition", "kind", "sign", "reads"),
    [
        ("a and b and not c", "and", "", ["a", "b", "c"]),
        ("a or (b or c)", "or", "", ["a", "b", "c"]),
        ("exactly 2 of (a, b, c)", "threshold", "=2", ["a", "b", "c"]),
        ("at least 2 of (a, b, c)", "threshold", "≥2", ["a", "b", "c"]),
        ("at most 1 of (a, b, c)", "threshold", "≤1", ["a", "b", "c"]),
        ("tally > 2", "sense", "2 < tally", ["tally"]),
        ("rest > 1 s", "sense", "rest > 1 s", ["rest"]),
        ("mood is cross", "sense", "mood is cross", ["mood"]),
        ("(a when b else c)", "sense", "a.out when b.out else c.out", ["b", "a", "c"]),
    ],
)
def test_a_condition_becomes_a_box(condition: str, kind: str, sign: str, reads: list[str]) -> None:
    found = scheme(condition)
    ((box, port),) = feeding(found)
    assert (box.kind, box.words) == (kind, sign)
    assert not port.negated
    assert sorted(one.key for one, _ in feeding(found, box.key)) == sorted(reads)


def test_a_condition_with_a_name_is_drawn_once_under_it() -> None:
    text = f"{HEAD}  let both = a and b\n  bolt : latch\n  bolt.set when both\n"
    found = survey(system(f"{text}  bolt.reset when both ends\n}}\n").design)
    gates = [box for box in found.boxes if box.kind == "and"]
    assert [box.title for box in gates] == ["both"]
    assert [(port.name, port.negated, port.edge) for _, port in feeding(found)] == [
        ("set", False, False),
        ("reset", True, True),
    ]


def test_what_the_design_keeps_is_drawn_with_what_it_reads() -> None:
    found = scheme("rest > 0 s or mood is cross or guest is in grotto")
    boxes = {box.key: (box.kind, box.detail) for box in found.boxes}
    assert boxes["rest"] == ("timer", "timer")
    assert boxes["mood"] == ("kept", "kept")
    assert boxes["tally"] == ("kept", "kept")
    assert boxes["guest.place"] == ("walker", "walker")
    assert [box.key for box, _ in feeding(found, "rest")] == ["a"]
    assert [box.key for box, _ in feeding(found, "mood")] == ["tally"]
    assert [box.key for box, _ in feeding(found, "tally")] == ["b"]


def test_what_never_changes_leads_nowhere() -> None:
    assert not feeding(scheme("yes"))
    assert not feeding(scheme("yes starts"))
    assert marks(scheme("not (yes starts)")) == []


@pytest.mark.parametrize(
    ("placed", "told"),
    [
        ("part : pulse(2 s)", "pulse 2 s"),
        ("part : pulse(2 s, again: yes)", "pulse 2 s, again"),
        ("part : off_delay(2 s, again: no)", "off_delay 2 s"),
        ("part : latch(wins: set)", "latch set wins"),
        ("part : button(room: lawn)", "button 100 ms, in lawn"),
        ("part : lever", "lever"),
        ("part : lamp(draw: 2)", "lamp"),
        ("part : not_gate", "not_gate"),
        ("part : own(3 s)", "own wait 3 s"),
    ],
)
def test_what_a_part_was_told(placed: str, told: str) -> None:
    kind = 'kind own(wait: time) "waits" {\n  in x: signal\n  out y: signal = x\n}\n'
    (part,) = (
        box
        for box in survey(system(f"{HEAD}  {placed}\n}}\n{kind}").design).boxes
        if box.key == "part"
    )
    assert part.detail == told


@pytest.mark.parametrize(
    ("condition", "sign"),
    [
        ("count of walkers in grotto > 0", "≥1"),
        ("count of walkers in grotto >= 1", "≥1"),
        ("count of walkers in grotto < 1", "<1"),
        ("count of walkers in grotto <= 0", "≤0"),
        ("count of walkers in grotto = 1", "=1"),
    ],
)
def test_people_in_a_room_are_counted_by_a_gate(condition: str, sign: str) -> None:
    ((box, _),) = feeding(scheme(condition))
    assert (box.kind, box.words, len(box.ins)) == ("threshold", sign, 1)
