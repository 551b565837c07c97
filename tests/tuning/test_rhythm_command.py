"""`latchwork rhythm`: words, JSON, and what is refused."""

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.cli.call import call, write
from tests.tuning.ready import DESIGNS

SCHEMA = Path(__file__).parents[2] / "verifier" / "report" / "rhythm.schema.json"
NAMES = ("drowsy_bell", "fountain", "grotto", "hedge_gates", "hour_bell", "tap_chain", "vestibule")


def design(name: str) -> str:
    return str(DESIGNS / f"{name}.latch")


def record(*arguments: str) -> dict[str, Any]:
    found = call("rhythm", "--format", "json", *arguments)
    assert found.exit_code == 0, found.output
    read: dict[str, Any] = json.loads(found.stdout)
    return read


@pytest.mark.parametrize("name", NAMES)
def test_records_are_what_the_schema_says(name: str) -> None:
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(record(design(name)), schema)


def test_records_with_bounds_too(tmp_path: Path) -> None:
    text = "design d {\n  sun : daylight(day: 3 s .. 4 s, night: 2 s)\n}\n"
    found = record(write(tmp_path, text))
    jsonschema.validate(found, json.loads(SCHEMA.read_text(encoding="utf-8")))
    assert found["bounds"][0]["on"] == {
        "least": {"ms": 3000, "exact": True},
        "most": {"ms": 4000, "exact": True},
    }
    assert found["bounds"][0]["round"]["most"] == {"ms": 6000, "exact": True}


def test_the_summary_says_it_in_a_sentence() -> None:
    found = call("rhythm", design("hedge_gates")).stdout
    assert "Settles after 0.1 s into a loop of 48.4 s; west is open 16 s of it" in found
    assert all(len(line) <= 80 for line in found.splitlines())


def test_what_waits_is_told_in_words() -> None:
    found = call("rhythm", design("drowsy_bell"), "--press", "hush at 10250 ms for 500 ms").stdout
    assert "Comes to rest after 11.00 s" in found
    assert "rest is not started: ring is not on" in found


def test_nobody_presses_is_said() -> None:
    assert "nobody presses anything" in call("rhythm", design("vestibule")).stdout
    assert "nobody presses anything" not in call("rhythm", design("grotto")).stdout


def test_settings_and_mistakes() -> None:
    assert record(design("hedge_gates"), "--set", "pause=1 s")["period_ms"] == 42_400
    found = call("rhythm", design("vestibule"), "--press", "nobody at 1 s")
    assert found.exit_code == 2
    assert "nobody" in found.output
