"""`latchwork parts` and `latchwork explain`: pages to read."""

from pathlib import Path

import pytest

from tests.cli.call import call, write
from verifier.source.codes import codes, page
from verifier.syntax.words import OTHER, TAKEN


def test_all_kinds_are_listed() -> None:
    found = call("parts")
    assert found.exit_code == 0
    for name in ("pulse", "door", "supply", "daylight"):
        assert f"\n{name} " in f"\n{found.stdout}"


def test_a_kind_at_work() -> None:
    found = call("parts", "pulse")
    assert found.exit_code == 0
    assert "At work: pulse(span: 2 s)" in found.stdout


def test_a_mistyped_kind() -> None:
    found = call("parts", "dor")
    assert found.exit_code == 2
    assert "no kind is called 'dor'; did you mean door?" in found.stderr


def test_own_kinds(tmp_path: Path) -> None:
    text = 'kind echo "repeats a tick later" { in told: signal keep a: flag a becomes told\n'
    path = write(tmp_path, text + "out out: signal = a }\n")
    assert "repeats a tick later" in call("parts", "--from", path).stdout
    found = call("parts", "echo", "--from", path)
    assert found.exit_code == 0
    assert "follows told at the next tick" in found.stdout
    assert "At work: lamp" in call("parts", "lamp", "--from", path).stdout
    assert call("parts", "--from", str(tmp_path / "gone.latch")).exit_code == 2


def test_all_codes_are_listed() -> None:
    found = call("explain")
    assert found.exit_code == 0
    for code in codes():
        assert f"\n{code} " in f"\n{found.stdout}"


@pytest.mark.parametrize("code", ["two-wires", "loop", "assume-none"])
def test_a_page_is_shown_with_its_examples(code: str) -> None:
    found = call("explain", code)
    assert found.exit_code == 0
    shown = page(code)
    assert shown is not None
    assert found.stdout.startswith(shown.headline)
    assert f"code: {code}" in found.stdout
    broken = shown.broken.files[0][1].decode().splitlines()
    assert all(f"  {line}".rstrip() in found.stdout for line in broken)
    assert "#" not in found.stdout.splitlines()[0]


def test_every_page_can_be_shown() -> None:
    for code in codes():
        assert call("explain", code).exit_code == 0


def test_a_mistyped_code() -> None:
    found = call("explain", "two-wire")
    assert found.exit_code == 2
    assert "did you mean two-wires?" in found.stderr


def test_all_words_are_listed() -> None:
    found = call("explain", "words")
    assert found.exit_code == 0
    for word in (*TAKEN, *OTHER):
        assert f"\n{word} " in found.stdout
