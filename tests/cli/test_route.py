"""`latchwork route` and `latchwork trial`: what is printed, records, statuses, mistakes."""

import json
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.cli.call import call, write

GARDEN = """\
design garden {
  tick 500 ms
  rooms court, vault
  passage court <-> vault when gate.open takes 1 s .. 2 s
  walker guest starts in court
  ask   : button(room: court)
  stays : pulse(5 s)
  mains : supply(2)
  gate  : door(opens: 1 s, shuts: 1 s)
  mains -> stays -> gate
  ask -> stays.start
  claim in_time: possible guest is in vault within 2 s
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


def test_a_route_is_told_step_by_step(tmp_path: Path) -> None:
    found = call("route", write(tmp_path, GARDEN), "guest is in vault")
    assert found.exit_code == 0, found.stderr
    lines = [line.rstrip() for line in found.stdout.splitlines()]
    assert lines[1] == "the quickest takes 3 s, with 2 moves"
    assert lines[2].startswith("proved: no way is quicker; every state was tried")
    assert lines[4:10] == [
        "  1. at 0.0 s  press ask",
        "  2.           wait 2 s until gate is open",
        "  3. at 2.0 s  guest goes to vault",
        "  4.           wait 1 s until guest is in vault",
        "     at 3.0 s  the goal is reached",
        "  Luck: guest takes 1 s from 2.0 s on (1 s .. 2 s).",
    ]


def test_a_route_as_a_record(tmp_path: Path) -> None:
    found = record("route", write(tmp_path, GARDEN), "in_time", "--all", "3")
    route = found["route"]
    assert (found["verdict"], found["order"], found["proved"]) == ("holds", "time", True)
    assert found["judged_by"] == ["the simulator"]
    assert [one["words"] for one in route["moves"]] == ["press ask", "guest goes to vault"]
    assert route["luck"][0]["timer"] == "guest.on_the_way"
    assert found["others"]["complete"] is True
    assert found["others"]["count"] == len(found["others"]["listed"]) == 1


def test_later_than_the_claim_asks_for_is_said(tmp_path: Path) -> None:
    found = call("route", write(tmp_path, GARDEN), "in_time")
    assert "later than the 2 s that the claim asks for" in found.stdout


def test_no_way_has_a_status_and_a_proof(tmp_path: Path) -> None:
    path = write(tmp_path, GARDEN)
    found = call("route", path, "guest is in vault and guest is in court")
    assert found.exit_code == 1
    assert "there is no way, ever" in found.stdout
    told = record("route", path, "guest is in vault and guest is in court")
    assert (told["verdict"], told["route"], told["proved"]) == ("fails", None, True)


@pytest.mark.parametrize("name", ["route", "trial"])
def test_mistakes_are_told_with_status_2(name: str, tmp_path: Path) -> None:
    path = write(tmp_path, GARDEN)
    wrong = call(name, path, "guest is in valt")
    assert wrong.exit_code == 2
    assert "GOAL:1:13" in wrong.stderr
    assert "did you mean `vault`" in wrong.stderr
    assert call(name, path, "in_time", "--design", "gardn").exit_code == 2
    assert call(name, str(tmp_path / "none.latch"), "in_time").exit_code == 2
    plain = write(tmp_path, "design plain {\n  free hand: signal\n}\n", "plain.latch")
    nobody = call(name, plain, "hand", "--walkers", "2")
    assert nobody.exit_code == 2
    assert "nobody walks" in nobody.stderr


def test_a_design_that_allows_no_run_is_refused(tmp_path: Path) -> None:
    text = "design none {\n  free hand: signal\n  assume never hand or not hand\n}\n"
    found = call("route", write(tmp_path, text), "hand")
    assert found.exit_code == 2
    assert "assume-none" in found.stderr


def test_one_of_several_designs_is_named(tmp_path: Path) -> None:
    two = GARDEN + "design other {\n  free hand: signal\n}\n"
    path = write(tmp_path, two)
    assert call("route", path, "hand").exit_code == 2
    found = call("route", path, "hand", "--design", "other")
    assert found.exit_code == 0
    assert "the quickest takes 0 s, with 1 move\n" in found.stdout


def test_the_diagram_goes_to_a_file_too(tmp_path: Path) -> None:
    picture = tmp_path / "way.svg"
    found = call("route", write(tmp_path, GARDEN), "in_time", "--svg", str(picture))
    assert found.exit_code == 0
    assert picture.read_text(encoding="utf-8").startswith("<svg")


def test_a_trial_is_told_on_a_few_lines(tmp_path: Path) -> None:
    found = call("trial", write(tmp_path, GARDEN), "guest is in vault", "--games", "50")
    assert found.exit_code == 0, found.stderr
    assert "quickest      3 s, with 2 moves, 1 way; proved" in found.stdout
    assert "of 50" in found.stdout


def test_a_trial_as_a_record(tmp_path: Path) -> None:
    path = write(tmp_path, GARDEN)
    arguments = (path, "in_time", "--games", "20", "--within", "1 min", "--every", "3 s")
    found = record("trial", *arguments)
    assert found["player"]["games"] == 20
    assert found["player"]["acts_every_ms"] == 3000
    assert found["player"]["low_95"] <= found["player"]["share"] <= found["player"]["high_95"]
    assert record("trial", *arguments, "--jobs", "1") == found
    assert record("trial", *arguments, "--seed", "1") != found


def test_a_trial_without_a_way(tmp_path: Path) -> None:
    path = write(tmp_path, GARDEN)
    found = call("trial", path, "guest is in vault and guest is in court")
    assert found.exit_code == 1
    assert "there is no way, ever" in found.stdout
    told = record("trial", path, "guest is in vault and guest is in court")
    assert told["player"] is None
