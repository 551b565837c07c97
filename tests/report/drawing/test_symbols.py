"""The sign of each kind of part: there is one, and it keeps within its room."""

import re
from itertools import combinations
from xml.etree import ElementTree as ET

import pytest

from verifier.design.files import standard
from verifier.report.drawing.svg import text_width
from verifier.report.drawing.symbols import draw_sign

WIDE, HIGH = 48.0, 32.0
KINDS = [block.name.text for block in standard().file.blocks]
OWN = ["and", "or", "same", "pulse again", "walker", "timer", "kept", "free"]


def sign(kind: str) -> ET.Element:
    parent = ET.Element("g")
    draw_sign(parent, kind, 0.0, 0.0)
    return parent


def spots(one: ET.Element) -> list[tuple[float, float]]:
    """Return the corners of an element; of an arc, its ends, and the top where they are level."""
    given = {name: float(one.get(name, "0")) for name in ("x", "y", "cx", "cy", "r")}
    match one.tag:
        case "circle":
            x, y, r = given["cx"], given["cy"], given["r"]
            return [(x - r, y - r), (x + r, y + r)]
        case "rect":
            x, y = given["x"], given["y"]
            return [(x, y), (x + float(one.get("width", "")), y + float(one.get("height", "")))]
        case "text":
            half = text_width(one.text or "", 16, bold=True) / 2
            return [(given["x"] - half, given["y"] - 12), (given["x"] + half, given["y"])]
        case _:
            data = one.get("d", "")
            ends = re.findall(r"([-\d.]+) ([-\d.]+)(?=[LAZh]|$)", data)
            found = [(float(x), float(y)) for x, y in ends]
            dome = re.search(r"A([\d.]+)", data)
            if dome and found[0][1] == found[-1][1]:
                found.append((0.0, found[0][1] - float(dome[1])))
            return found


@pytest.mark.parametrize("kind", KINDS + OWN)
def test_it_keeps_within_its_room(kind: str) -> None:
    found = [spot for one in sign(kind) for spot in spots(one)]
    assert found, "no kind of ours is a plain box"
    for low, high, most in (
        (min(x for x, _ in found), max(x for x, _ in found), WIDE),
        (min(y for _, y in found), max(y for _, y in found), HIGH),
    ):
        assert high - low <= most
        assert low <= 0 <= high


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("and_gate", "&"),
        ("or_gate", "≥1"),
        ("xor_gate", "=1"),
        ("not_gate", "1"),
        ("counter", "CTR"),
    ],
)
def test_letters_of_the_standard(kind: str, text: str) -> None:
    """As in IEC 60617-12 (from memory)."""
    assert [one.text for one in sign(kind)] == [text]


def test_a_delay_tells_on_which_side_it_waits() -> None:
    """As in IEC 60617-12 (from memory): first the delay of going live, then of going dead."""
    texts = {
        kind: [one.text for one in sign(kind) if one.tag == "text"]
        for kind in ("on_delay", "off_delay")
    }
    assert texts == {"on_delay": ["t", "0"], "off_delay": ["0", "t"]}


def test_no_two_kinds_look_alike() -> None:
    drawn = {
        kind: ET.tostring(sign(kind))
        for kind in [*KINDS, *OWN]
        if kind not in ("and", "or", "same")
    }
    alike = [(one, other) for one, other in combinations(drawn, 2) if drawn[one] == drawn[other]]
    assert alike == [("and_gate", "inhibit")]  # they differ by the circle at an input


def test_an_unknown_kind_is_a_plain_box() -> None:
    assert not list(sign("harp"))
