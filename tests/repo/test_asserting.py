"""Each test asserts something, itself or through a helper: else it could only crash."""

import ast
from collections import defaultdict
from collections.abc import Iterable, Mapping

import pytest

from tests.repo.tree import ROOT, parsed, python_files, where

ASKING = {"pytest.raises", "pytest.warns", "pytest.fail", "expect"}
"""What asserts besides `assert`; `expect` is that of playwright."""

FILES = {path: parsed(path) for path in python_files(ROOT / "tests")}
Named = Mapping[str, list[ast.FunctionDef]]


def empty(trees: Iterable[ast.Module]) -> list[ast.FunctionDef]:
    """Return the tests that assert nothing.

    A call is looked up by its last name: among the functions and methods of its file, else among
    those of all files, each of which has to assert.
    """
    homes = [_functions([tree]) for tree in trees]
    everywhere = _functions(trees)
    asserting: set[ast.FunctionDef] = set()
    before = -1
    while len(asserting) > before:
        before = len(asserting)
        for home in homes:
            known = {**everywhere, **home}
            for function in (one for group in home.values() for one in group):
                if _asserts(function) or any(
                    asserting.issuperset(known[name]) for name in _called(function) & known.keys()
                ):
                    asserting.add(function)
    tests = (one for name, group in everywhere.items() if name.startswith("test_") for one in group)
    return [one for one in tests if one not in asserting]


def _functions(trees: Iterable[ast.Module]) -> Named:
    found = defaultdict[str, list[ast.FunctionDef]](list)
    for node in (node for tree in trees for node in ast.walk(tree)):
        if isinstance(node, ast.FunctionDef):
            found[node.name].append(node)
    return dict(found)


def _asserts(function: ast.FunctionDef) -> bool:
    """Tell whether a function asserts by itself; `assert True` is none."""
    for node in ast.walk(function):
        match node:
            case ast.Assert(test=test) if not isinstance(test, ast.Constant):
                return True
            case ast.Call(func=called) if ast.unparse(called) in ASKING:
                return True
            case _:
                pass
    return False


def _called(function: ast.FunctionDef) -> set[str]:
    """Return the last names of what a function calls."""
    calls = (node for node in ast.walk(function) if isinstance(node, ast.Call))
    return {ast.unparse(call.func).rpartition(".")[2] for call in calls}


def test_each_test_asserts_something() -> None:
    found = set(empty(FILES.values()))
    told = [
        f"{where(path, one.lineno)} {one.name}"
        for path, tree in FILES.items()
        for one in ast.walk(tree)
        if one in found
    ]
    assert not told


HELPERS = """
def holds(one):
    assert one
def idle(one):
    return one
def through(one):
    return holds(one)
"""


@pytest.mark.parametrize(
    "body",
    [
        "assert one",
        "with pytest.raises(ValueError):\n  one()",
        "through(one)",
        "for x in y: holds(x)",
    ],
)
def test_an_assertion_is_seen(body: str) -> None:
    test = f"def test_it(one):\n {body}\n"
    assert not empty([ast.parse(HELPERS), ast.parse(test)])


@pytest.mark.parametrize("body", ["pass", "assert True", "idle(one)", "one.strip()", "holds"])
def test_a_test_without_one_is_seen(body: str) -> None:
    test = f"def test_it(one):\n {body}\n"
    assert [one.name for one in empty([ast.parse(HELPERS), ast.parse(test)])] == ["test_it"]


def test_a_helper_of_the_same_file_is_the_one_that_is_called() -> None:
    test = "def holds(one):\n return one\ndef test_it(one):\n holds(one)\n"
    assert [one.name for one in empty([ast.parse(HELPERS), ast.parse(test)])] == ["test_it"]
