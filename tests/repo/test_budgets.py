"""The sizes we hold ourselves to: past them a file or a function wants another shape.

Complexity is measured by the linter (C901), the rest here.
"""

import ast
from pathlib import Path
from statistics import median, quantiles

import pytest

from tests.repo.tree import PACKAGE, ROOT, functions, python_files, where

LINES_OF_FILE = 500
MEDIAN_LINES_OF_FILE = 180
LINES_OF_FUNCTION = 60
NINE_OF_TEN_FUNCTIONS = 25
MEDIAN_LINES_OF_FUNCTION = 8
POSITIONAL = 5

CODE = python_files(PACKAGE)
ALL = python_files(PACKAGE, ROOT / "tests")


def lines(path: Path) -> int:
    return len(path.read_text(encoding="utf-8").splitlines())


def length(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Return the lines of a function, without its docstring."""
    whole = (function.end_lineno or function.lineno) - function.lineno + 1
    first = function.body[0]
    match first:
        case ast.Expr(value=ast.Constant(value=str())):
            return whole - ((first.end_lineno or first.lineno) - first.lineno + 1)
        case _:
            return whole


def is_stub(function: ast.FunctionDef | ast.AsyncFunctionDef) -> bool:
    return ast.unparse(function.body[-1]) == "..."


@pytest.mark.parametrize("path", ALL, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_file_is_too_long(path: Path) -> None:
    assert lines(path) <= LINES_OF_FILE


def test_files_are_short_at_the_median() -> None:
    assert median(lines(path) for path in CODE if path.name != "__init__.py") <= (
        MEDIAN_LINES_OF_FILE
    )


def test_no_function_is_too_long() -> None:
    found = {
        where(path, one.lineno): length(one)
        for path in ALL
        for one in functions(path)
        if length(one) > LINES_OF_FUNCTION
    }
    assert not found


def test_functions_are_short_as_a_rule() -> None:
    lengths = [length(one) for path in CODE for one in functions(path) if not is_stub(one)]
    assert quantiles(lengths, n=10)[-1] <= NINE_OF_TEN_FUNCTIONS
    assert median(lengths) <= MEDIAN_LINES_OF_FUNCTION


def test_no_function_takes_many_positional_arguments() -> None:
    found = []
    for path in ALL:
        for one in functions(path):
            names = [arg.arg for arg in (*one.args.posonlyargs, *one.args.args)]
            if len([name for name in names if name not in {"self", "cls"}]) > POSITIONAL:
                found.append(where(path, one.lineno))
    assert not found
