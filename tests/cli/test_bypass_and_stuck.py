"""`latchwork bypass` and `latchwork stuck`: what is printed, records, statuses, mistakes."""

import json
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.cli.call import call, write

DESIGNS = Path(__file__).parents[2] / "designs"
HOLE = str(DESIGNS / "lever_vault_bypass.latch")
TRAP = str(DESIGNS / "lever_vault_trap.latch")
GOAL = "guest is in vault"

NEVER = """\
design garden {
  tick 1 s
  free hand: signal
  keep made: flag
  made becomes no when hand
}
"""

CROWDED = """\
design crowded {
  tick 1 s
  free hand[1..12]: signal
  keep seen[1..12]: flag
  for i in 1..12 { seen[i] becomes hand[i] and not seen[13 - i] }
  keep left: timer
  left loads 7 s when exactly 5 of seen
  let odd = left = 3 s and exactly 4 of seen and seen[3]
}
"""


def record(name: str, *arguments: str) -> dict[str, Any]:
    """Return a record that fits its schema."""
    found = call(name, *arguments, "--format", "json")
    read: dict[str, Any] = json.loads(found.stdout)
    schema = json.loads(
        files("verifier.report").joinpath(f"{name}.schema.json").read_text(encoding="utf-8")
    )
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(read)
    return read


def lines(*arguments: str) -> list[str]:
    return [line.rstrip() for line in call(*arguments).stdout.splitlines()]


def test_a_bypass_is_told_in_a_table() -> None:
    told = lines("bypass", HOLE, GOAL)
    assert told[2:6] == [
        "the goal can be reached without 10 of 11 things",
        "",
        "  pull[1]            button   not needed  way 1 does without",
        "  pull[2]            button   not needed  way 1 does without",
    ]
    assert "  vault              room     needed      proved (every state, the simulator)" in told
    way = "way 1  takes 1.5 s (the quickest of all): 0.0 s guest goes to cellar; 0.5 s"
    assert told[told.index(way) + 1] == "       guest goes to vault"
    assert "  1. cellar, court <-> cellar, cellar <-> vault" in told
    assert max(map(len, told[2:])) <= 80


def test_orders_are_told() -> None:
    told = lines("bypass", str(DESIGNS / "lever_vault.latch"), GOAL)
    assert "  gallery, then pull[1], then pull[2], then pull[3], then vault" in told
    assert "What is needed is enough: nothing else has to be used." in told


def test_steps_that_may_change_places_are_told(tmp_path: Path) -> None:
    text = """\
design pair {
  tick 1 s
  free first: signal
  free second: signal
  keep one: flag
  keep other: flag
  one becomes yes when first
  other becomes yes when second
}
"""
    told = lines("bypass", write(tmp_path, text), "one and other and not first and not second")
    assert "there is no way round: the goal needs each of 2 things" in told
    at = told.index("These may change places:")
    assert told[at + 1].startswith("  second, then first: 0 s press second")


def test_a_bypass_as_a_record() -> None:
    read = record("bypass", HOLE, GOAL)
    needed = {one["name"]: (one["needed"], one["way"], one["known"]) for one in read["elements"]}
    assert needed["pull[1]"] == (False, 0, "shown")
    assert needed["vault"] == (True, None, "proved")
    assert read["ways"][0]["takes_ms"] == 1500
    assert read["ways"][0]["first_uses_ms"]["cellar"] == 500
    assert read["sets"]["complete"]
    vault = record("bypass", str(DESIGNS / "lever_vault.latch"), GOAL)
    assert vault["orders"]["chains"] == [["gallery", "pull[1]", "pull[2]", "pull[3]", "vault"]]


def test_no_way_at_all_has_a_status(tmp_path: Path) -> None:
    path = write(tmp_path, NEVER)
    found = call("bypass", path, "made")
    assert found.exit_code == 1
    assert "there is no way, ever" in found.stdout
    assert record("bypass", path, "made")["ways"] == []
    stuck = call("stuck", path, "made")
    assert stuck.exit_code == 1
    assert "the goal can't be reached at all, from the start on" in stuck.stdout
    assert record("stuck", path, "made")["trap"] is None


def test_a_trap_is_told() -> None:
    found = call("stuck", TRAP, "way_in")
    assert found.exit_code == 1
    told = [line.rstrip() for line in found.stdout.splitlines()]
    lost = "people can get stuck: from 1.0 s on the goal can't be reached any more"
    assert any(line.endswith(lost) for line in told[:3])  # the facts above may take two lines
    assert "The last moment at which it could be reached was 0.5 s; what lost it: press" in told
    assert "  2. press pull[3] (0.5 s at the soonest)" in told
    assert "     after 0.0 s guest goes to gallery; 0.5 s press pull[1]" in told
    assert max(map(len, told[2:])) <= 80


def test_a_trap_as_a_record() -> None:
    read = record("stuck", TRAP, "way_in")
    assert (read["verdict"], read["trap"]["from_ms"]) == ("fails", 1000)
    assert (read["trap"]["last_moment_ms"], read["trap"]["shortest"]) == (500, True)
    assert {"path": "pin", "value": 1, "words": "pin stays live"} in read["trap"]["holds"]
    assert [one["loss"] for one in read["mistakes"]][:2] == ["act", "act"]
    assert 0 < read["stuck"] < read["states"]


def test_nobody_gets_stuck() -> None:
    path = str(DESIGNS / "lever_vault.latch")
    found = call("stuck", path, GOAL)
    assert found.exit_code == 0
    assert "nobody can get stuck" in found.stdout
    read = record("stuck", path, GOAL)
    assert (read["verdict"], read["stuck"], read["trap"]) == ("holds", 0, None)


def test_what_is_unknown_has_a_status(tmp_path: Path) -> None:
    found = call("stuck", write(tmp_path, CROWDED), "odd", "--effort", "0.01")
    assert found.exit_code == 3
    assert "unknown: neither a dead end nor a proof" in found.stdout
    assert "4096 ways to choose" in found.stdout


def test_more_people_can_be_asked_about() -> None:
    read = record("stuck", HOLE, GOAL, "--walkers", "2")
    one = record("stuck", HOLE, GOAL)
    assert read["verdict"] == "holds"
    assert read["states"] > one["states"]


def test_the_way_into_a_trap_is_drawn(tmp_path: Path) -> None:
    path = tmp_path / "trap.svg"
    assert call("stuck", TRAP, "way_in", "--svg", str(path)).exit_code == 1
    assert path.read_text(encoding="utf-8").startswith("<svg")
    none = call("stuck", HOLE, GOAL, "--svg", str(tmp_path / "none.svg"))
    assert none.exit_code == 2
    assert not (tmp_path / "none.svg").exists()


@pytest.mark.parametrize(
    ("name", "file", "goal"),
    [("bypass", "lever_vault_bypass", GOAL), ("stuck", "lever_vault_trap", "way_in")],
)
def test_the_document_shows_what_is_printed(
    name: str, file: str, goal: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(DESIGNS)
    blocks = (DESIGNS.parent / "docs" / "puzzles.md").read_text("utf-8").split("```text\n")[1:]
    block = next(one.split("```")[0] for one in blocks if f"{file}.latch" in one.split("\n")[0])
    shown = block.rstrip().splitlines()
    assert lines(name, f"{file}.latch", goal)[: len(shown)] == shown


@pytest.mark.parametrize("name", ["bypass", "stuck"])
def test_mistakes_are_told_with_status_2(name: str) -> None:
    assert "no such" not in call(name, HOLE, GOAL).stdout
    for arguments in (["guest is in valt"], [GOAL, "--design", "no_such"], [GOAL, "--set", "a=1"]):
        found = call(name, HOLE, *arguments)
        assert found.exit_code == 2
        assert not found.stdout
        assert found.stderr
