"""A few mutants of the judge and of its encoder, each run: none is left, and the mutator works."""

import ast
import subprocess
import sys
import tomllib

import pytest

from tests.mutants import __main__ as command
from tests.mutants.changes import mutants
from tests.mutants.targets import ROOT, TARGETS
from tests.mutants.trial import Result, Trials


def changed(source: str) -> set[str]:
    """Return the names of all mutants of a text."""
    return {one.name for one in mutants(ast.parse(source))}


def test_mutants_are_what_they_are_called() -> None:
    source = (
        "def f(a, room):\n    if a < 1 and room:\n        room.claim(a)\n    return wrong('x')\n"
    )
    assert changed(source) == {
        "f: if a < 1 and room: -> if True:",
        "f: if a < 1 and room: -> if False:",
        "f: a < 1 and room -> a < 1 or room",
        "f: a < 1 and room -> room",
        "f: a < 1 and room -> a < 1",
        "f: a < 1 and room -> a <= 1 and room",
        "f: a < 1 and room -> a >= 1 and room",
        "f: a < 1 and room -> a < 2 and room",
        "f: a < 1 and room -> a < 0 and room",
        "f: room.claim(a) -> pass",
        "f: wrong('x') -> SOUND",
    }


@pytest.mark.parametrize("file", TARGETS)
def test_each_mutant_is_another_program_and_puts_back_what_it_took(file: str) -> None:
    tree = ast.parse((ROOT / file).read_text(encoding="utf-8"))
    whole = ast.unparse(tree)
    found = mutants(tree)
    assert ast.unparse(tree) == whole
    assert len({one.name for one in found}) == len(found)
    for one in found[::7]:
        old = one.place.put(one.new)
        assert ast.unparse(tree) != whole
        compile(ast.fix_missing_locations(tree), file, "exec")
        one.place.put(old)
    assert ast.unparse(tree) == whole


def test_harmless_survivors_have_reasons_and_files() -> None:
    text = (ROOT / "tests/mutants/harmless.toml").read_text(encoding="utf-8")
    for file, groups in tomllib.loads(text).items():
        names = {one.name for one in mutants(ast.parse((ROOT / file).read_text(encoding="utf-8")))}
        for group in groups:
            assert group["reason"]
            assert set(group["mutants"]) <= names, file


def test_entries_that_are_not_needed_are_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """One harmless mutant survives, one is killed by now, one is of a line that is gone."""
    file = "verifier/system/cone.py"
    stays, killed, new = (
        one.name for one in mutants(ast.parse((ROOT / file).read_text("utf-8")))[:3]
    )

    def run(trials: Trials) -> None:
        trials.as_it_is = Result.SURVIVED
        for one in trials.mutants:
            survives = one.name in {stays, new}
            trials.told(one, Result.SURVIVED if survives else Result.KILLED)

    monkeypatch.setattr(Trials, "run", run)
    monkeypatch.setattr(command, "harmless", lambda: {file: {stays, killed, "f: gone"}})
    found = command.count(file, 0, 0)
    assert [one.name for one in found.left] == [new]
    assert found.dated == ["f: gone"]
    assert found.seen == [killed]
    assert command.count(file, 1, 0).seen == []


@pytest.mark.slow
@pytest.mark.parametrize("file", ["verifier/logic/tick.py", "verifier/logic/judge.py"])
def test_no_mutant_drawn_is_left(file: str) -> None:
    command = [sys.executable, "-m", "tests.mutants", file, "--most", "12", "--seed", "25"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    killed = int(done.stdout.split()[-4])
    assert killed >= 10, done.stdout
