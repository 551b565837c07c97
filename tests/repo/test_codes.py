"""Each code that a diagnostic may bear has a page, and each page a diagnostic."""

import ast
from collections.abc import Iterator

from tests.repo.tree import PACKAGE, functions, python_files
from verifier.source.codes import codes
from verifier.verdict.answer import Emptiness

# Every place makes a diagnostic with its code first, so the codes can be read off the code.
MAKER = "Diagnostic"


def first_arguments(tree: ast.AST, name: str) -> Iterator[ast.expr]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and ast.unparse(node.func).split(".")[-1] == name:
            named = [one.value for one in node.keywords if one.arg == "code"]
            yield from node.args[:1] or named


def words(expression: ast.expr, function: ast.AST) -> set[str]:
    """Return the texts that an expression can be: its own, or those given to its name."""
    match expression:
        case ast.Constant(value=str(word)):
            return {word}
        case ast.IfExp(body=body, orelse=orelse):
            return words(body, function) | words(orelse, function)
        case ast.Name(id=name):
            return set().union(*(words(one, function) for one in given(name, function)))
        case _:
            raise AssertionError(f"can't read a code from {ast.unparse(expression)}")


def given(name: str, function: ast.AST) -> list[ast.expr]:
    return [
        node.value
        for node in ast.walk(function)
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == name
    ]


def codes_in_use() -> set[str]:
    found = {Emptiness.NEVER.value, Emptiness.NOT_SO_FAR.value}
    for path in python_files(PACKAGE):
        for function in functions(path):
            for expression in first_arguments(function, MAKER):
                some = words(expression, function)
                assert some, f"can't read a code in {path.name}: {ast.unparse(expression)}"
                found |= some
    return found


def test_every_code_has_a_page() -> None:
    assert codes_in_use() - set(codes()) == set()


def test_every_page_has_a_code() -> None:
    assert set(codes()) - codes_in_use() == set()
