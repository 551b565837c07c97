"""The wiring drawing as SVG: bands with flags, its foot, texts within their room."""

from xml.etree import ElementTree as ET

import pytest

from tests.report.make import system
from verifier.report.drawing.plan import plan
from verifier.report.drawing.survey import survey
from verifier.report.drawing.svg import fitted, text_width
from verifier.report.drawing.wiring import drawn, wiring

ROWS = 9
CHAIN = "\n".join(
    [
        "design chain {",
        "  tick 100 ms",
        "  hand : button",
        *(f"  step_{at} : latch" for at in range(ROWS)),
        "  hand -> step_0.set",
        *(f"  step_{at} -> step_{at + 1}.set" for at in range(ROWS - 1)),
        "  step_8 -> step_0.reset",
        "}",
    ]
)


def parsed(text: str) -> ET.Element:
    return ET.fromstring(text)  # noqa: S314 - what we wrote ourselves


def classed(root: ET.Element, name: str) -> list[ET.Element]:
    return [one for one in root.iter() if name in (one.get("class") or "").split()]


def test_a_wire_into_another_band_ends_in_a_flag_and_begins_anew_at_one() -> None:
    design = system(CHAIN).design
    narrow = drawn(design, plan(survey(design), 400.0), "w")
    flags = [one for one in classed(parsed(narrow), "gate") if one.get("data-kind") == "tag"]
    names = [one.findtext("{*}text") or "" for one in flags]
    assert len(flags) >= 2
    assert all(name.strip() for name in names)
    ends = [wire.get("data-source") for wire in classed(parsed(narrow), "wire") if wire.get("id")]
    assert len(ends) > ROWS  # a wire that is cut is drawn in two pieces
    short = system("design d {\n  hand : button\n  step : latch\n  hand -> step.set\n}\n")
    assert classed(parsed(wiring(short.design)), "gate") == []


LOCK = """\
design lock {
  tick 100 ms
  key[1..3] : button
  lamp[1..4] : relay
  keep gap: timer
  gap loads 5 s when key[1]
  let late = gap ends
  let one = (key[1] and key[2] or key[2] and key[3]) and (key[1] or key[3]) and gap > 0 s
  keep n: count 0 .. 3
  n becomes 0 when late or one, n + 1 when key[3] and not one
  lamp[1].coil when n = 2
  lamp[2].coil when n = 2 and late
  lamp[3].coil when one and n < 2
}
"""


@pytest.mark.parametrize("room", [1.0, 300.0, 500.0])
def test_no_two_nets_have_the_same_tag(room: float) -> None:
    found = plan(survey(system(LOCK).design), room)
    tags = [one.box for one in found.boxes if one.box.kind == "tag"]
    names: dict[str, set[str]] = {}
    for tag in tags:
        names.setdefault(tag.words, set()).add(" ".join(tag.key.split()[:2]))
    assert tags
    assert {name: keys for name, keys in names.items() if len(keys) > 1} == {}


def test_tags_say_what_a_wire_carries() -> None:
    found = plan(survey(system(LOCK).design), 1.0)
    names = {one.box.words for one in found.boxes if one.box.kind == "tag"}
    assert {"key[3].out", "gap", "late", "one", "gap runs", "gap > 0.1 s", "n < 2"} <= names
    assert {f"for one ({number})" for number in range(1, 5)} <= names


@pytest.mark.parametrize("room", [0.0, 400.0])
def test_parts_and_wires_are_counted_alike_in_one_band_and_in_many(room: float) -> None:
    design = system(CHAIN).design
    found = plan(survey(design), room) if room else plan(survey(design))
    about = parsed(drawn(design, found, "w")).findtext("{*}desc")
    assert about == "10 parts, 10 wires"


def test_the_key_tells_only_what_is_drawn() -> None:
    signal = parsed(wiring(system(CHAIN).design))
    assert len(classed(signal, "key")) == 1
    both = "design d {\n  hand : button\n  glow : pulse(1 s)\n  mains : supply(1)\n"
    power = parsed(wiring(system(both + "  mains -> glow\n  hand -> glow.start\n}\n").design))
    assert len(classed(power, "key")) == 2
    assert len(classed(power, "amount")) == 1
    alone = parsed(wiring(system("design d {\n  hand : button\n}\n").design))
    assert classed(alone, "key") == []
    assert alone.findtext("{*}desc") == "1 part, 0 wires"


def test_wide_letters_take_more_room() -> None:
    assert text_width("蝶", 10) > text_width("a", 10) > text_width("i", 10)
    assert len(fitted("蝶蝶蝶蝶", 25, 10)) < len(fitted("aaaa", 25, 10))
