"""`latchwork check`: exit status, what is printed where, and wrong calls."""

import json
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest

from tests.cli.call import GOOD, HOLDS, call, run, write
from verifier.cli import check
from verifier.pipeline import CheckSettings
from verifier.system.model import System
from verifier.verdict.answer import Answer, Outcome, Reach, Verdict


def answered(monkeypatch: pytest.MonkeyPatch, *verdicts: Verdict) -> None:
    """Let the claims of a design be answered so, one after the other."""

    def answers(system: System, settings: CheckSettings) -> Iterator[Answer]:
        del settings
        for question, verdict in zip(system.questions, verdicts, strict=False):
            yield Answer(question, Outcome(verdict, Reach.UP_TO, 600, reason="made up"))

    monkeypatch.setattr(check, "answers", answers)


@pytest.mark.parametrize(
    ("verdicts", "status"),
    [
        ((Verdict.HOLDS, Verdict.HOLDS), 0),
        ((Verdict.HOLDS, Verdict.FAILS), 1),
        ((Verdict.UNKNOWN, Verdict.FAILS), 1),
        ((Verdict.HOLDS, Verdict.UNKNOWN), 3),
    ],
)
def test_the_status_tells_the_worst(
    verdicts: tuple[Verdict, ...], status: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    answered(monkeypatch, *verdicts)
    assert call("check", write(tmp_path, GOOD)).exit_code == status


def test_a_claim_that_holds_and_one_that_fails(tmp_path: Path) -> None:
    found = call("check", write(tmp_path, GOOD))
    assert found.exit_code == 1
    assert "lamp_post: 1 of 3 claims fails" in found.stdout
    assert "┣━━┫ stays  holds for ever" in found.stdout
    assert "again fails after 1 min" in found.stdout
    assert found.stderr == ""


def test_all_hold(tmp_path: Path) -> None:
    found = call("check", write(tmp_path, HOLDS))
    assert (found.exit_code, found.stderr) == (0, "")
    assert "all 2 claims hold" in found.stdout


def test_a_record_fits_its_schema(tmp_path: Path) -> None:
    found = call("check", write(tmp_path, GOOD), "--format", "json")
    assert found.exit_code == 1
    record = json.loads(found.stdout)
    text = files("verifier.report").joinpath("check.schema.json").read_text(encoding="utf-8")
    jsonschema.Draft202012Validator(json.loads(text)).validate(record)
    (design,) = record["designs"]
    assert [one["verdict"] for one in design["claims"]] == ["holds", "holds", "fails"]


def test_one_of_several_designs(tmp_path: Path) -> None:
    both = GOOD + HOLDS.replace("lamp_post", "other")
    path = write(tmp_path, both)
    found = call("check", path, "--design", "other")
    assert found.exit_code == 0
    assert "other: all 2 claims hold" in found.stdout
    assert "lamp_post" not in found.stdout
    missed = call("check", path, "--design", "others")
    assert missed.exit_code == 2
    assert "no design is called 'others'; did you mean other?" in missed.stderr
    assert call("check", path, "--design", "other", "--claim", "again").exit_code == 2


def test_several_files_and_designs(tmp_path: Path) -> None:
    one = write(tmp_path, HOLDS, "one.latch")
    two = write(tmp_path, HOLDS + GOOD.replace("lamp_post", "second"), "two.latch")
    found = call("check", one, two, "--claim", "again")
    assert found.exit_code == 1
    assert "second: 1 of 1 claim fails" in found.stdout


def test_only_the_claims_named_are_answered(tmp_path: Path) -> None:
    found = call("check", write(tmp_path, GOOD), "--claim", "stays", "--format", "json")
    claims = json.loads(found.stdout)["designs"][0]["claims"]
    assert [one["name"] for one in claims] == ["stays"]


def test_a_setting_changes_the_answer(tmp_path: Path) -> None:
    text = HOLDS.replace("  hand", "  setting glows = 2 s\n  hand", 1).replace(
        "off_delay(2 s)", "off_delay(glows)"
    )
    path = write(tmp_path, text)
    assert call("check", path).exit_code == 0
    assert call("check", path, "--set", "glows=1 s").exit_code == 1


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--claim", "stay"], "no claim is called 'stay'; did you mean stays?"),
        (["--claim", "zzz"], "there are: fed, stays, again"),
        (["--for", "soon"], "'soon' is no time"),
        (["--for", "1.5 s"], "whole numbers only: 1500 ms for 1.5 s"),
        (["--for", "150 ms"], "no whole number of ticks of 100 ms; try 100 ms or 200 ms"),
        (["--set", "stay"], "'stay' is no setting; write NAME=VALUE"),
        (["--set", "a=1", "--set", "a=2"], "'a' is set twice"),
        (["--finer", "1"], "--finer"),
        (["--finer", "2", "--format", "json"], "leave out --format json"),
        (["--effort", "0"], "--effort"),
        (["--format", "xml"], "--format"),
        (["--colour"], "--colour"),
    ],
)
def test_wrong_calls(arguments: list[str], words: str, tmp_path: Path) -> None:
    found = call("check", write(tmp_path, GOOD), *arguments)
    assert found.exit_code == 2
    assert found.stdout == ""
    assert words in found.stderr
    assert "more   latchwork check --help" in found.stderr


def test_a_file_is_needed() -> None:
    assert call("check").exit_code == 2


def test_mistakes_are_told_with_their_place_and_nothing_is_answered(tmp_path: Path) -> None:
    good = write(tmp_path, HOLDS, "good.latch")
    bad = write(tmp_path, "design d {\n  gate : dor(opens: 1 s, shuts: 1 s)\n}\n", "bad.latch")
    found = call("check", good, bad)
    assert (found.exit_code, found.stdout) == (2, "")
    assert f"error unknown-kind, {bad}:2:10" in found.stderr
    assert "door" in found.stderr


@pytest.mark.parametrize("name", ["nowhere.latch", "."])
def test_files_that_cannot_be_read(name: str, tmp_path: Path) -> None:
    found = call("check", str(tmp_path / name))
    assert (found.exit_code, found.stdout) == (2, "")
    assert "can't read" in found.stderr
    assert "Traceback" not in found.stderr


def test_an_unknown_setting_is_told_with_the_nearest(tmp_path: Path) -> None:
    text = HOLDS.replace("off_delay(2 s)", "off_delay(glows)").replace(
        "  hand", "  setting glows = 2 s\n  hand"
    )
    found = call("check", write(tmp_path, text), "--set", "glow=3 s")
    assert found.exit_code == 2
    assert "did you mean `glows`" in found.stderr


def test_assumptions_that_nothing_keeps_are_an_error(tmp_path: Path) -> None:
    text = "design d { hand : button assume never hand assume always hand claim c: never hand }"
    found = call("check", write(tmp_path, text))
    assert found.exit_code == 2
    assert "assume-none" in found.stderr


def test_warnings_stop_nothing_and_go_to_the_other_stream(tmp_path: Path) -> None:
    text = HOLDS.replace("lamp : lamp\n", "lamp : lamp\n  spare : lamp\n")
    found = call("check", write(tmp_path, text))
    assert "warning unwired" in found.stderr
    assert "gets no power" not in found.stdout
    assert "lamp_post" in found.stdout


def test_a_finer_tick_lists_what_flips(tmp_path: Path) -> None:
    text = HOLDS.replace("lasts at least 2 s", "lasts at least 2 s + 3 ticks")
    found = call("check", write(tmp_path, text), "--finer", "2")
    assert "Asked again with a tick of 0.05 s: every verdict stays." in found.stdout
    flips = HOLDS.replace("lasts at least 2 s", "no sooner than 100 ms").replace(
        "hand -> glow.start", "relay_ : relay\n  hand -> relay_.coil\n  relay_.pulled -> glow.start"
    )
    found = call("check", write(tmp_path, flips), "--finer", "2")
    assert found.exit_code == 0
    assert "1 verdict flips.\n  stays  holds, then fails" in found.stdout


def test_an_interrupt_prints_what_is_known(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def answers(system: System, settings: CheckSettings) -> Iterator[Answer]:
        del settings
        yield Answer(system.questions[1], Outcome(Verdict.HOLDS, Reach.FOREVER))
        raise KeyboardInterrupt

    monkeypatch.setattr(check, "answers", answers)
    found = call("check", write(tmp_path, GOOD))
    assert found.exit_code == 130
    assert "holds for ever" in found.stdout
    assert "claims that are not listed were not answered" in found.stderr
    record = call("check", write(tmp_path, GOOD), "--format", "json")
    assert record.exit_code == 130
    assert len(json.loads(record.stdout)["designs"][0]["claims"]) == 1


def test_names_of_files_are_harmless(tmp_path: Path) -> None:
    path = write(tmp_path, HOLDS, "evil\x1b]0;x\x07\u202e.latch")
    found = call("check", path)
    assert found.exit_code == 0
    wrong = call("check", str(tmp_path / "no\x1b[31m\nsuch.latch"))
    for text in (found.stdout, wrong.stderr, call("check", "--claim", "\x1b[31m", path).stderr):
        assert not {"\x1b", "\x07", "\u202e"} & set(text)


def test_plain_where_it_is_piped_or_colour_is_unwanted(tmp_path: Path) -> None:
    path = write(tmp_path, HOLDS)
    assert "\x1b" not in run("check", path).stdout
    forced = run("check", path, variables={"FORCE_COLOR": "1", "TERM": "xterm"})
    assert "\x1b[" in forced.stdout
    unwanted = {"FORCE_COLOR": "1", "TERM": "xterm", "NO_COLOR": "1"}
    for code in ("\x1b[31", "\x1b[33", "\x1b[94", "\x1b[1;31"):
        assert code not in run("check", path, variables=unwanted).stdout


def test_a_terminal_without_block_letters_gets_plain_ones(tmp_path: Path) -> None:
    path = write(tmp_path, GOOD)
    found = run("check", path, variables={"PYTHONIOENCODING": "ascii"})
    assert found.returncode == 1
    assert found.stdout.isascii()
    assert "[==] stays" in found.stdout
