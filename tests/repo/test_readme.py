"""The README keeps its promises; .ci/run also runs its two commands."""

import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.repo.tree import ROOT, texts
from verifier.cli.main import main
from verifier.pipeline import designs
from verifier.source.diagnostic import Collector

README = (ROOT / "README.md").read_text(encoding="utf-8")
DESIGNS = re.findall(r"^```latch\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
COMMANDS = re.findall(r"^```sh\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
ANSWER = re.search(
    r"with `.venv/bin/latchwork (.*?)`:\n\n```text\n(.*?)^```$", README, re.MULTILINE | re.DOTALL
)
LINK = re.compile(r"\]\((?!https?:|#)([^)#\s]+)(?:#[^)]*)?\)")


def test_there_are_two_setup_commands_of_one_line() -> None:
    assert len(COMMANDS) == 2
    for command in COMMANDS:
        assert len(command.splitlines()) == 1
        assert command.startswith("python3 -m venv .venv && .venv/bin/pip install ")


def test_the_first_runs_the_main_job_and_the_second_the_tests() -> None:
    job, tests = COMMANDS
    found = re.search(r"\.venv/bin/latchwork check (\S+)$", job.strip())
    assert found
    assert (ROOT / found[1]).is_file()
    assert ".[test]" in tests
    assert re.search(r"\.venv/bin/pytest\b", tests)


def test_the_readme_opens_with_one_paragraph_on_the_job() -> None:
    title, paragraph, after = README.split("\n\n")[:3]
    assert title == "# Latchwork"
    assert len(paragraph.split()) > 30
    assert after.startswith("#")


def test_the_command_is_the_one_that_is_installed() -> None:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert settings["project"]["scripts"] == {"latchwork": "verifier.cli.start:start"}


@pytest.mark.parametrize(
    "path",
    [path for path in texts() if path.suffix == ".md"],
    ids=lambda path: str(path.relative_to(ROOT)),
)
def test_links_to_files_lead_somewhere(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    dead = [link for link in LINK.findall(text) if not (path.parent / link).exists()]
    assert not dead


def test_every_document_is_linked_from_the_list() -> None:
    docs = ROOT / "docs"
    linked = {
        (docs / link).resolve() for link in LINK.findall((docs / "README.md").read_text("utf-8"))
    }
    assert {path for path in docs.glob("*.md") if path.name != "README.md"} <= linked


def test_documents_named_anywhere_are_there() -> None:
    named = re.compile(r"docs/[a-z0-9/_-]+[.]md")
    found = {name for path in texts() for name in named.findall(path.read_text(encoding="utf-8"))}
    assert not {name for name in found if not (ROOT / name).is_file()}


@pytest.mark.parametrize("text", DESIGNS)
def test_designs_in_the_readme_are_sound(text: str, tmp_path: Path) -> None:
    path = tmp_path / "readme.latch"
    path.write_text(text, encoding="utf-8")
    collector = Collector()
    assert designs(path, collector)
    assert collector.found == []


@pytest.mark.parametrize("command", sorted(set(re.findall(r"`latchwork ([a-z]+)", README))))
def test_commands_in_the_readme_exist(command: str) -> None:
    ended = CliRunner().invoke(main, [command, "--help"])
    assert ended.exit_code == 0
    assert ended.output


def test_the_answer_in_the_readme_is_the_one_given() -> None:
    """Which engine was the first may differ from one machine to the next."""
    assert ANSWER
    call = [sys.executable, "-c", "from verifier.cli.main import main; main()"]
    ended = subprocess.run(
        [*call, *ANSWER[1].split()],
        cwd=ROOT,
        env={**os.environ, "COLUMNS": "80", "PYTHONUTF8": "1"},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert ended.returncode == 1
    engine = re.compile(r"[(]\w[\w ]*[)] *")
    assert engine.sub("", ended.stdout).strip() == engine.sub("", ANSWER[2]).strip()
