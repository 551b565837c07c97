"""Drawings and waveforms as files: written whole, or not at all with a reason."""

from pathlib import Path
from xml.etree import ElementTree as ET

from tests.cli.call import GOOD, HOLDS, call, run, write


def is_svg(text: str) -> bool:
    return ET.fromstring(text).tag.endswith("svg")  # noqa: S314 - what we wrote ourselves


def test_the_wiring_is_printed_or_written(tmp_path: Path) -> None:
    design = write(tmp_path, GOOD)
    printed = call("draw", design)
    assert printed.exit_code == 0
    assert is_svg(printed.output)
    target = tmp_path / "wiring.svg"
    written = call("draw", design, "--svg", str(target))
    assert (written.exit_code, written.output) == (0, "")
    assert target.read_text(encoding="utf-8") == printed.output


def test_a_run_is_drawn_and_dumped(tmp_path: Path) -> None:
    picture, values = tmp_path / "run.svg", tmp_path / "run.vcd"
    ended = call(
        *("run", write(tmp_path, GOOD), "--press", "hand at 1 s"),
        *("--svg", str(picture), "--waveform", str(values)),
    )
    assert ended.exit_code == 0
    assert is_svg(picture.read_text(encoding="utf-8"))
    assert "$enddefinitions" in values.read_text(encoding="ascii")


def test_a_kind_at_work_is_drawn(tmp_path: Path) -> None:
    picture = tmp_path / "pulse.svg"
    assert call("parts", "pulse", "--svg", str(picture)).exit_code == 0
    assert is_svg(picture.read_text(encoding="utf-8"))
    assert call("parts", "--svg", str(picture)).exit_code == 2


def test_the_run_of_a_broken_claim_is_written(tmp_path: Path) -> None:
    picture, values = tmp_path / "run.svg", tmp_path / "run.vcd"
    ended = call(
        *("check", write(tmp_path, GOOD), "--effort", "5"),
        *("--svg", str(picture), "--waveform", str(values)),
    )
    assert ended.exit_code == 1
    assert is_svg(picture.read_text(encoding="utf-8"))
    assert "$scope module lamp_post $end" in values.read_text(encoding="ascii")


def test_where_no_run_is_there_nothing_is_written_and_that_is_told(tmp_path: Path) -> None:
    picture = tmp_path / "run.svg"
    ended = run("check", write(tmp_path, HOLDS), "--claim", "stays", "--svg", str(picture))
    assert ended.returncode == 0
    assert not picture.exists()
    assert "no answer rests on a run" in ended.stderr


def test_a_file_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    ended = call("draw", write(tmp_path, GOOD), "--svg", str(tmp_path / "no" / "w.svg"))
    assert ended.exit_code == 2
    assert "cannot write" in ended.output
    assert "Traceback" not in ended.output
