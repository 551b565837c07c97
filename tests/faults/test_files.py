"""Whatever stands in the way of a file: it is told, the old file is whole, and nothing is left."""

import shutil
import subprocess
import sys
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path

import pytest

from tests.cli.call import call
from tests.faults import files
from tests.faults.files import COMMANDS, DESIGN, FULL_CALLS, OLD, UNTIDY, failing
from tests.repo.tree import ROOT


@pytest.fixture
def design(tmp_path: Path) -> Path:
    path = tmp_path / "garden.latch"
    path.write_text(DESIGN, encoding="utf-8")
    return path


def below(folder: Path) -> dict[str, str]:
    """Return what stands in a folder and below."""
    return {
        str(one.relative_to(folder)): one.read_text(encoding="utf-8")
        for one in folder.rglob("*")
        if one.is_file()
    }


def refused(name: str, design: Path, out: Path, context: AbstractContextManager[object]) -> None:
    """Call a command that cannot write its file; see that it says so and leaves all as it was."""
    command = COMMANDS[name]
    if not command.new_only and out.parent.is_dir() and not out.exists():
        out.write_text(UNTIDY if name == "tidy" else OLD, encoding="utf-8")
    before = below(out.parent)
    with context:
        ended = call(*command.call(design, out))
    assert ended.exit_code == 2, ended.output
    assert f"cannot write {out}: " in ended.output
    assert "fault of ours" not in ended.output
    assert below(out.parent) == before


@pytest.mark.parametrize("name", COMMANDS)
def test_a_file_is_written_where_nothing_stands_in_the_way(
    name: str, design: Path, tmp_path: Path
) -> None:
    out = tmp_path / "out" / "file"
    out.parent.mkdir()
    if name == "tidy":
        out.write_text(UNTIDY, encoding="utf-8")
    ended = call(*COMMANDS[name].call(design, out))
    assert ended.exit_code in (0, 1), ended.output
    assert list(below(out.parent)) == ["file"]


@pytest.mark.parametrize("name", COMMANDS)
def test_a_full_disk(name: str, design: Path, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    refused(name, design, tmp_path / "out" / "file", files.small_files())


@pytest.mark.parametrize(("called", "number"), FULL_CALLS)
@pytest.mark.parametrize("name", ["draw", "tidy", "retune"])
def test_each_call_on_the_way_may_fail(
    name: str, called: str, number: int, design: Path, tmp_path: Path
) -> None:
    (tmp_path / "out").mkdir()
    refused(name, design, tmp_path / "out" / "file", failing(called, number))


@pytest.mark.parametrize("name", [one for one in COMMANDS if one != "tidy"])
def test_a_folder_that_vanishes_meanwhile(name: str, design: Path, tmp_path: Path) -> None:
    out = tmp_path / "out" / "file"
    out.parent.mkdir()
    with files.meanwhile(lambda: shutil.rmtree(out.parent)):
        ended = call(*COMMANDS[name].call(design, out))
    assert ended.exit_code == 2, ended.output
    assert f"cannot write {out}: No such file or directory" in ended.output


@pytest.mark.parametrize("name", ["check --svg", "draw", "route"])
def test_a_folder_without_permission(name: str, design: Path) -> None:
    with files.open_folder() as folder:
        (folder / "file").write_text(OLD, encoding="utf-8")
        folder.chmod(0o555)
        refused(name, design, folder / "file", files.as_nobody())
        folder.chmod(0o755)


def test_a_file_without_permission_is_left_alone(design: Path) -> None:
    with files.open_folder() as folder:
        folder.chmod(0o777)
        (folder / "file").write_text(OLD, encoding="utf-8")
        (folder / "file").chmod(0o444)
        refused("draw", design, folder / "file", files.as_nobody())


@pytest.mark.skipif(not files.can_mount(), reason="needs the right to mount a file system")
@pytest.mark.parametrize("options", ["size=4k,nr_inodes=3", "ro"])
def test_a_full_or_a_read_only_file_system(options: str, design: Path, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    folder.mkdir()
    with files.mounted(folder, options):
        before = below(folder)
        ended = call(*COMMANDS["draw"].call(design, folder / "file"))
        assert below(folder) == before
    assert ended.exit_code == 2
    words = "Read-only file system" if options == "ro" else "No space left on device"
    assert f"cannot write {folder / 'file'}: {words}" in ended.output


def test_a_device_is_written_to_and_stays_a_device(design: Path) -> None:
    assert call("draw", str(design), "--svg", "/dev/null").exit_code == 0
    assert Path("/dev/null").is_char_device()
    ended = call("draw", str(design), "--svg", "/dev/full")
    assert ended.exit_code == 2
    assert "cannot write /dev/full: No space left on device" in ended.output
    assert Path("/dev/full").is_char_device()


@pytest.mark.parametrize("name", ["draw", "page", "retune"])
def test_a_folder_is_no_file(name: str, design: Path, tmp_path: Path) -> None:
    ended = call(*COMMANDS[name].call(design, tmp_path))
    assert ended.exit_code == 2
    assert sorted(below(tmp_path)) == ["garden.latch"]


def test_a_link_is_followed_and_a_circle_of_links_is_told(design: Path, tmp_path: Path) -> None:
    out, link = tmp_path / "old", tmp_path / "link"
    link.symlink_to(out)
    assert call("draw", str(design), "--svg", str(link)).exit_code == 0
    assert link.is_symlink()
    assert out.read_text(encoding="utf-8").startswith("<svg")
    out.unlink()
    out.symlink_to(link)
    ended = call("draw", str(design), "--svg", str(link))
    assert ended.exit_code == 2
    assert "Too many levels of symbolic links" in ended.output


@pytest.mark.parametrize("form", ["text", "json"])
def test_what_is_known_is_printed_where_certificates_cannot_be_written(
    form: str, design: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "proofs"
    with files.meanwhile(lambda: shutil.rmtree(folder)):
        ended = call("check", str(design), "--certificates", str(folder), "--format", form)
    assert ended.exit_code == 2
    assert "cannot write" in ended.output
    assert "stays" in ended.stdout
    assert not folder.exists()


@pytest.mark.parametrize("name", ["check --svg", "route", "retune"])
def test_what_is_known_is_printed_before_a_file_that_cannot_be_written(
    name: str, design: Path, tmp_path: Path
) -> None:
    out = tmp_path / "none" / "file"
    ended = call(*COMMANDS[name].call(design, out))
    assert ended.exit_code == 2
    assert "gate_lodge" in ended.stdout


def ended(words: str, in_shell: Callable[[str], str]) -> subprocess.CompletedProcess[str]:
    """Run the command in a shell, which sets its streams."""
    code = "from verifier.cli.start import start; start()"
    begun = in_shell(f"{sys.executable} -c '{code}' {words}")
    return subprocess.run(
        ["/bin/bash", "-c", begun],
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        cwd=ROOT,
    )


STREAMS: dict[str, tuple[Callable[[str], str], int | None, str]] = {
    "full": (lambda it: f"{it} > /dev/full", 2, "No space left on device"),
    "closed": (lambda it: f"{it} >&-", None, ""),
    "errors closed": (lambda it: f"{it} 2>&- >/dev/null", None, ""),
    "no reader": (lambda it: f"{it} | head -c 1 > /dev/null; exit ${{PIPESTATUS[0]}}", None, ""),
}


@pytest.mark.parametrize("stream", STREAMS)
@pytest.mark.parametrize("words", ["check designs/vestibule_half.latch", "draw designs/maze.latch"])
def test_streams_that_take_nothing(words: str, stream: str) -> None:
    in_shell, status, says = STREAMS[stream]
    found = ended(words, in_shell)
    usual = 1 if words.startswith("check") else 0
    assert found.returncode in ({usual, 141} if status is None else {status}), found.stderr
    assert "Traceback" not in found.stderr
    assert "ignored" not in found.stderr
    assert says in found.stderr


def test_a_mistake_keeps_its_status_where_nobody_can_be_told() -> None:
    for words in ("frob", "check none.latch"):
        found = ended(words, lambda it: f"{it} 2> /dev/full")
        assert found.returncode == 2
