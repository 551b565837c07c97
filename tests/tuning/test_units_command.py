"""`latchwork units`: words, JSON, exit status, and what is refused."""

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.cli.call import call, write
from tests.tuning.ready import DESIGNS, DRY

SCHEMA = Path(__file__).parents[2] / "verifier" / "report" / "units.schema.json"


def design(name: str) -> str:
    return str(DESIGNS / f"{name}.latch")


def record(*arguments: str) -> dict[str, Any]:
    found = call("units", "--format", "json", *arguments)
    assert found.exit_code in {0, 1}, found.output
    read: dict[str, Any] = json.loads(found.stdout)
    return read


@pytest.mark.parametrize("name", ["tap_chain", "tap_chain_mended"])
def test_records_are_what_the_schema_says(name: str) -> None:
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(record(design(name)), schema)


def test_who_starves_is_told_with_the_run() -> None:
    found = call("units", design("tap_chain"))
    assert found.exit_code == 1
    assert "pump can starve. At the worst all together draw 9 units." in found.stdout
    assert "pump gets 1 of the 4 units it needs, at 40 min:" in found.stdout
    assert "With 8 units in all no amounts of the taps serve" in found.stdout
    assert all(len(line) <= 80 for line in found.stdout.splitlines())


def test_the_next_smaller_supply_is_refuted_by_name_and_run() -> None:
    found = call("units", design("tap_chain_mended"), "--supply", "mains")
    assert found.exit_code == 0
    assert "9 units will do: all claims hold" in found.stdout
    assert "With 8 not: `fed` fails at 0.5 s:" in found.stdout
    assert "pump gets 3 units, needs 4" in found.stdout


def test_a_supply_that_feeds_a_part_that_is_dry_now_is_looked_for(tmp_path: Path) -> None:
    found = call("units", write(tmp_path, DRY))
    assert "4 units will do: all claims hold and each part can get its units" in found.stdout
    assert "With 3 not: `fed` fails at 0.0 s" in found.stdout


def test_of_a_part_that_nothing_can_feed_nothing_is_said(tmp_path: Path) -> None:
    text = DRY.replace("  first.rest -> far\n", "  none : supply(0)\n  none -> far\n")
    found = call("units", write(tmp_path, text), "--supply", "mains")
    words = "1 unit will do: all claims hold and each part but far can get its units, proved."
    assert words in " ".join(found.stdout.split())


def test_nothing_needs_units(tmp_path: Path) -> None:
    found = call("units", write(tmp_path, "design quiet {\n  ask : button\n}\n"))
    assert found.exit_code == 0
    assert "No part of this design needs any units." in found.stdout


def test_mistakes_are_told(tmp_path: Path) -> None:
    for arguments in (
        [design("tap_chain"), "--supply", "main"],
        [design("tap_chain"), "--design", "tap"],
        [str(tmp_path / "none.latch")],
        [write(tmp_path, "design d {\n  lamp : lam\n}\n")],
    ):
        found = call("units", *arguments)
        assert found.exit_code == 2
        assert "Traceback" not in found.output
