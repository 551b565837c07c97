"""`latchwork retune`: words, JSON, exit status, files written, and what is refused."""

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.cli.call import call, write
from tests.tuning.ready import DESIGNS

SCHEMA = Path(__file__).parents[2] / "verifier" / "report" / "retune.schema.json"

# The lamp is to burn for long enough, but not for too long: from 4 s to 5 s.
LAMP = """\
# A lamp.
design lamp_post {
  setting burns = 2 s tunable 1 s .. 20 s  # how long
  setting bound = 5 s

  hand  : button(holds: 300 ms)
  glow  : pulse(burns)
  lamp  : lamp
  mains : supply(2)
  mains -> glow -> lamp
  hand -> glow.start

  claim enough: lamp lasts at least 4 s
  claim saving: lamp lasts at most bound
}
"""
CLASH = LAMP.replace("setting bound = 5 s", "setting bound = 3 s")


def record(*arguments: str) -> dict[str, Any]:
    found = call("retune", "--format", "json", *arguments)
    assert found.exit_code in {0, 1}, found.output
    read: dict[str, Any] = json.loads(found.stdout)
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(read, schema)
    return read


@pytest.mark.parametrize(
    ("goal", "value"), [([], 4000), (["--least", "burns"], 4000), (["--most", "burns"], 5000)]
)
def test_goals(tmp_path: Path, goal: list[str], value: int) -> None:
    found = record(write(tmp_path, LAMP), *goal)
    assert found["verdict"] == "found"
    assert found["values"] == {"burns": value}
    assert found["best"]
    assert {one["verdict"] for one in found["claims"]} == {"holds"}


def test_two_claims_that_clash_are_named(tmp_path: Path) -> None:
    path = write(tmp_path, CLASH)
    found = record(path)
    assert found["verdict"] == "none"
    assert "z3" in found["none_by"]
    assert {one["claim"] for one in found["clash"]} == {"enough", "saving"}
    without = {one["claim"]: one["without_it"]["burns"] for one in found["clash"]}
    assert without["enough"] <= 3000
    assert without["saving"] >= 4000
    told = call("retune", path)
    assert told.exit_code == 1
    assert "`enough` and `saving` clash: no values serve both." in told.stdout
    assert all(len(line) <= 80 for line in told.stdout.splitlines() if path not in line)


def test_one_claim_alone_is_told_apart(tmp_path: Path) -> None:
    path = write(tmp_path, LAMP.replace("at least 4 s", "at least 30 s"))
    assert "`enough` alone cannot be kept" in call("retune", path).stdout


def test_the_new_file_keeps_comments_and_holds(tmp_path: Path) -> None:
    path, out = write(tmp_path, LAMP), tmp_path / "tuned.latch"
    found = call("retune", path, "--write", str(out))
    assert found.exit_code == 0
    text = out.read_text(encoding="utf-8")
    assert "setting burns = 4 s tunable 1 s .. 20 s" in text
    assert "# A lamp." in text
    assert "# how long" in text
    assert call("check", str(out)).exit_code == 0
    assert call("tidy", "--check", str(out)).exit_code == 0


def test_nothing_is_written_over(tmp_path: Path) -> None:
    path = write(tmp_path, LAMP)
    found = call("retune", path, "--write", path)
    assert found.exit_code == 2
    assert "is there already" in found.stderr
    assert Path(path).read_text(encoding="utf-8") == LAMP


def test_what_the_design_uses_must_be_found_from_the_new_file(tmp_path: Path) -> None:
    out = tmp_path / "far.latch"
    glasshouse = str(DESIGNS / "glasshouse.latch")
    found = call("retune", glasshouse, "--claim", "one_grant", "--write", str(out))
    assert found.exit_code == 2
    assert "could not be read back" in found.stderr
    assert not out.exists()


def test_what_no_longer_happens_is_told(tmp_path: Path) -> None:
    text = LAMP.replace("claim saving", "claim late: glow.on and glow.left > 3 s lasts at most 1 s")
    text = text.split("claim late")[0] + "claim late: lamp and long lasts at most 1 s\n"
    text = text.replace("at least 4 s", "at least 1 s") + "  let long = glow.left > 3 s\n}\n"
    path = write(tmp_path, text.replace("burns = 2 s", "burns = 6 s"))
    found = record(path, "--least", "burns")
    assert found["idle"] == ["late"]


def test_mistakes_are_told(tmp_path: Path) -> None:
    path = write(tmp_path, LAMP)
    for arguments, words in (
        (["--least", "burn"], "did you mean burns?"),
        (["--turn", "burns=9..7"], "is no range for burns"),
        (["--turn", "burns=soon"], "write NAME=LOW..HIGH"),
        (["--claim", "enugh"], "did you mean enough?"),
        (["--least", "burns", "--near"], "choose one"),
        (["--without", "enough", "--without", "saving", "--without", "fed"], "no claims are left"),
    ):
        found = call("retune", path, *arguments)
        assert found.exit_code == 2
        assert words in found.stderr
    still = write(tmp_path, LAMP.replace(" tunable 1 s .. 20 s", ""), "still.latch")
    assert "no setting may be turned" in call("retune", still).stderr


def test_as_it_stands_speaks_of_the_present_value_outside_the_range(tmp_path: Path) -> None:
    """At 3 s `enough` fails; from 4 s up it holds."""
    path = write(tmp_path, LAMP.replace("burns = 2 s", "burns = 4 s"))
    found = record(path, "--turn", "burns=4500 ms..8 s")
    assert {one["verdict"] for one in found["before"]} == {"holds"}
    assert found["settings"][0]["now"] == 4000
    assert found["values"] == {"burns": 4500}
    found = record(path, "--set", "burns=3 s", "--turn", "burns=4500 ms..8 s")
    assert [one["claim"] for one in found["before"] if one["verdict"] == "fails"] == ["enough"]


def test_values_outside_the_range_of_the_file_are_not_written(tmp_path: Path) -> None:
    text = LAMP.replace("tunable 1 s .. 20 s", "tunable 1 s .. 3 s")
    out = tmp_path / "other.latch"
    found = call("retune", write(tmp_path, text), "--turn", "burns=4 s..5 s", "--write", str(out))
    assert found.exit_code == 2
    assert "`burns` stands at 4 s, outside the range 1 s .. 3 s" in found.stderr
    assert not out.exists()
