"""`latchwork margins`: words, JSON, exit status, and what is refused."""

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.cli.call import call, write
from tests.tuning.ready import DESIGNS
from tests.tuning.test_retune_command import LAMP

SCHEMA = Path(__file__).parents[2] / "verifier" / "report" / "margins.schema.json"


def record(*arguments: str) -> dict[str, Any]:
    found = call("margins", "--format", "json", *arguments)
    read: dict[str, Any] = json.loads(found.stdout)
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(read, schema)
    return read


def test_ends_of_the_hedge_gates(tmp_path: Path) -> None:
    """The closed form, in ticks: each of the four timers of a round starts a tick late.

    East begins to open a pause and 2 ticks after west began to shut, which takes 40: pause >= 38.
    West is open for 200 - 40 of a round of 2 (200 + pause) + 4, so the gap without it is 244 + 2
    pauses, and is to be 330 at the most: pause <= 43.
    """
    text = (DESIGNS / "hedge_gates.latch").read_text(encoding="utf-8")
    text = text.replace("  setting turn = 20 s\n", "").replace("(turn)", "(20 s)")
    gates = write(tmp_path, text)
    found = record(gates, "--claim", "apart", "--claim", "again")
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


# --- where a setting stands outside the range in which it is turned -------------------------------

BLINK = """\
design blink {
  tick 100 ms
  setting warn = 5 s tunable 1 s .. 8 s
  ask : button
  mains : supply(3)
  warning : pulse(warn)
  flash : flasher(lit: 500 ms, dark: 500 ms)
  bulb : lamp
  mains -> warning -> flash -> bulb
  ask -> warning.start
  claim whole: flash.on lasts 500 ms
}
"""


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--set", "warn=9300 ms"], "warn stands at 9300 ms, outside 1 s .. 8 s"),
        (["--turn", "warn=6100 ms..8 s"], "warn stands at 5 s, outside 6100 ms .. 8 s"),
    ],
)
def test_a_range_that_leaves_out_the_present_value_is_refused(
    tmp_path: Path, arguments: list[str], words: str
) -> None:
    found = call("margins", write(tmp_path, BLINK), *arguments)
    assert found.exit_code == 2
    assert words in found.stderr
    assert not found.stdout


def test_a_value_that_is_set_is_where_margins_start(tmp_path: Path) -> None:
    path = write(tmp_path, BLINK)
    (room,) = record(path, "--set", "warn=9 s", "--turn", "warn=8 s..10 s")["settings"]
    assert (room["now"], room["from"], room["to"]) == (9000, 8500, 9000)


def test_a_file_with_a_value_outside_its_range_is_refused(tmp_path: Path) -> None:
    found = call("margins", write(tmp_path, BLINK.replace("= 5 s", "= 9 s")))
    assert found.exit_code == 2
    assert "outside-tunable" in found.stderr


BETWEEN = """\
design between {
  tick 100 ms
  setting half = 50 ms
  ask : button
  goes : pulse(2 * half)
  mains : supply(1)
  mains -> goes
  ask -> goes.start
  claim short: goes.on lasts 100 ms
}
"""


def test_a_setting_between_two_ticks_is_not_turned(tmp_path: Path) -> None:
    assert record(write(tmp_path, BETWEEN))["settings"] == []
    for text, turn in (
        (BETWEEN, ["--turn", "half=0 s..1 s"]),
        (BETWEEN.replace("= 50 ms", "= 50 ms tunable 0 s .. 1 s"), []),
    ):
        found = call("margins", write(tmp_path, text), *turn)
        assert found.exit_code == 2
        assert "half is 50 ms, no whole number of ticks of 100 ms" in found.stderr


SET = """\
design bolted {
  tick 100 ms
  setting burns = 1 s tunable 1 s .. 2 s
  ask : button
  bolt : latch
  mains : supply(1)
  goes : pulse(burns)
  mains -> goes
  ask -> bolt.set
  ask -> goes.start
  claim loose: always possible not bolt
  claim short: goes.on lasts at most 1 s
}
"""


def test_margins_and_check_tell_the_same_moment_of_a_dead_end(tmp_path: Path) -> None:
    path = write(tmp_path, SET)
    assert "fails after 0.1 s" in call("check", path, "--claim", "loose").stdout
    words = "as it stands `loose` fails at 0.1 s: from then on it cannot come any more."
    assert words in " ".join(call("margins", path).stdout.split())
