"""The command as a whole: help, endings, and what it loads."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.call import GOOD, call, run, write
from verifier.cli import explain, main


def test_help_lists_the_commands() -> None:
    for arguments in ([], ["--help"]):
        found = call(*arguments)
        assert found.exit_code == 0
        for name in ("check", "run", "parts", "tidy", "explain"):
            assert f"\n  {name} " in found.stdout


@pytest.mark.parametrize("name", ["check", "run", "parts", "tidy", "explain"])
def test_every_command_has_help_that_fits(name: str) -> None:
    found = call(name, "--help")
    assert found.exit_code == 0
    assert f"Usage: latchwork {name} " in found.stdout


def test_help_loads_nothing_slow() -> None:
    code = (
        "import sys\n"
        "from verifier.cli.main import main\n"
        "try:\n    main(['--help'])\n"
        "except SystemExit:\n    pass\n"
        "slow = {'z3', 'lark', 'rich', 'verifier.design.model'} & set(sys.modules)\n"
        "sys.exit(str(slow) if slow else 0)"
    )
    found = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(Path(main.__file__).parents[2])},
    )
    assert found.returncode == 0, found.stderr


def test_a_mistyped_command() -> None:
    found = call("chek")
    assert found.exit_code == 2
    assert "no command is called 'chek'; did you mean check?" in found.stderr


def test_our_own_faults_are_told_without_a_traceback(monkeypatch: pytest.MonkeyPatch) -> None:
    def fall(code: str) -> None:
        raise RuntimeError(f"lost \x1b[31m{code}\nsecond line")

    monkeypatch.setattr(explain, "page", fall)
    found = call("explain", "two-wires")
    assert found.exit_code == 70  # EX_SOFTWARE of sysexits.h, 4.3BSD
    lines = found.stderr.splitlines()
    assert lines[0].startswith("latchwork: this is a fault of ours")
    assert r"RuntimeError: lost \x1b[31mtwo-wires" in found.stderr
    assert "verifier/cli/explain.py:" in found.stderr
    assert "Traceback" not in found.stderr
    assert "second line" not in found.stderr


def test_an_interrupt_ends_quietly(monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(code: str) -> None:
        raise KeyboardInterrupt(code)

    monkeypatch.setattr(explain, "page", stop)
    found = call("explain", "two-wires")
    assert (found.exit_code, found.stdout, found.stderr.strip()) == (130, "", "")


@pytest.mark.parametrize(
    "arguments", [["explain"], ["explain", "words"], ["parts"], ["check", "FILE"], ["run", "FILE"]]
)
def test_nobody_reads_on(arguments: list[str], tmp_path: Path) -> None:
    path = write(tmp_path, GOOD)
    words = [path if one == "FILE" else one for one in arguments]
    code = "from verifier.cli.main import main; main()"
    reading, writing = os.pipe()
    os.close(reading)
    found = subprocess.run(
        [sys.executable, "-c", code, *words],
        stdout=writing,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(Path(main.__file__).parents[2])},
    )
    os.close(writing)
    assert (found.returncode, found.stderr) == (141, "")


def test_versions_are_told() -> None:
    found = run("--version")
    assert (found.returncode, found.stderr) == (0, "")
    assert found.stdout.startswith("latchwork ")
