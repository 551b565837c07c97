"""`latchwork margins`: words, JSON, exit status, and what is refused."""

import json
from pathlib import Path
from typing import Any

import jsonschema

from tests.cli.call import call, write
from tests.tuning.ready import DESIGNS
from tests.tuning.test_retune_command import LAMP

SCHEMA = Path(__file__).parents[2] / "verifier" / "report" / "margins.schema.json"
GATES = str(DESIGNS / "hedge_gates.latch")


def record(*arguments: str) -> dict[str, Any]:
    found = call("margins", "--format", "json", *arguments)
    read: dict[str, Any] = json.loads(found.stdout)
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(read, schema)
    return read


def test_ends_of_the_hedge_gates() -> None:
    """Closed form: shut takes 4 s and two ticks more pass; a round is 2 turns, 2 pauses, 4 ticks.

    A pause of p keeps the gates apart from p + 2 ticks >= 40 ticks on, and west is not open for
    33 s at the most, which are turn + 2 p + 4 ticks and 84 ticks for opening and shutting less 36.
    """
    found = record(GATES, "--claim", "apart", "--claim", "again")
    pause = next(one for one in found["settings"] if one["name"] == "pause")
    assert (pause["from"], pause["to"]) == (3800, 4300)
    assert (pause["below"]["claim"], pause["below"]["value"]) == ("apart", 3700)
    assert (pause["above"]["claim"], pause["above"]["value"]) == ("again", 4400)
    assert pause["below"]["trace"]
    assert pause["above"]["trace"]


def test_words_and_status(tmp_path: Path) -> None:
    path = write(tmp_path, LAMP.replace("burns = 2 s", "burns = 4 s"))
    found = call("margins", path)
    assert found.exit_code == 0
    assert "burns  4 s .. 5 s" in found.stdout
    assert "With `burns` = 3.9 s, `enough` fails at" in found.stdout
    assert "With `burns` = 5.1 s, `saving` fails at" in found.stdout
    assert "The spans of parts may not be off by even 1 %." in found.stdout
    assert all(len(line) <= 80 for line in found.stdout.splitlines() if path not in line)


def test_a_tolerance_and_the_next_one_that_fails(tmp_path: Path) -> None:
    """With a burn of 4.5 s, 11 % are 4.005 .. 4.995 s, 12 % less than 4 s."""
    path = write(tmp_path, LAMP.replace("burns = 2 s", "burns = 4500 ms"))
    tolerance = record(path)["tolerance"]
    assert tolerance["most_percent"] == 11
    assert tolerance["beyond"]["percent"] == 12
    assert tolerance["beyond"]["trace"]


def test_claims_that_fail_are_left_out(tmp_path: Path) -> None:
    found = call("margins", write(tmp_path, LAMP))
    assert "Left out: as it stands `enough` fails" in found.stdout
    assert "burns  1 s .. 5 s" in found.stdout
    alone = call("margins", write(tmp_path, LAMP), "--claim", "enough")
    assert alone.exit_code == 1
    assert "No claim holds as it stands." in alone.stdout


def test_a_setting_without_a_range_is_looked_at_as_far_as_asked(tmp_path: Path) -> None:
    text = LAMP.replace("burns = 2 s tunable 1 s .. 20 s", "burns = 4 s")
    found = record(write(tmp_path, text), "--turn", "bound=4 s..6 s", "--claim", "saving")
    rooms = {one["name"]: one for one in found["settings"]}
    assert not rooms["burns"]["range_of_its_own"]
    assert rooms["burns"]["high"] == 16_000
    assert (rooms["bound"]["from"], rooms["bound"]["to"]) == (4000, 6000)
    assert rooms["bound"]["above"] is None


def test_an_end_that_is_not_known_is_told() -> None:
    glasshouse = str(DESIGNS / "glasshouse.latch")
    found = call("margins", glasshouse, "--calls", "2", "--claim", "can_heat")
    assert found.exit_code == 3
    assert "not known to hold (the calls allowed were used up)" in " ".join(found.stdout.split())
