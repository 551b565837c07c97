"""A run of tests for each mutant, each in a fork of a process that has everything loaded.

The tests are collected once, by pytest. Then, in each fork, the functions of the module are given
the changed code: whoever holds one of them, under whatever name, calls the changed one. A change
outside of functions (a constant, a table) needs more: what is ours is loaded anew there.
"""

import ast
import importlib
import math
import os
import resource
import signal
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from enum import Enum
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec
from importlib.util import spec_from_loader
from types import CodeType, FunctionType, ModuleType

import pytest

from tests.mutants.changes import Mutant

SECONDS = 2.0
"""A mutant that works for so much longer than the tests of the true module never ends."""
WAITED = 20
"""One that waits for so many times as long as it may work never ends either."""
OPTIONS = (
    *("-o", "addopts=", "--import-mode=importlib", "-p", "no:cacheprovider", "-p", "no:terminal"),
    *("-p", "no:xdist", "-p", "no:hypothesispytest", "-p", "no:faulthandler"),
    *("-W", "ignore::pytest.PytestAssertRewriteWarning"),  # of what the parent has loaded
)


class Result(Enum):
    """What the tests said of a mutant."""

    KILLED = "killed"
    ENDLESS = "endless"
    SURVIVED = "survived"


@dataclass(slots=True)
class Trials:
    """A plugin of pytest: where it would run the tests once, it runs them for each mutant.

    `told` is called with each mutant and its result; `as_it_is` is that of the true module.
    """

    module: str
    tree: ast.Module
    tests: Sequence[str]
    mutants: Sequence[Mutant]
    told: Callable[[Mutant, Result], None]
    as_it_is: Result | None = None
    patience: float = field(default=60.0)
    """Seconds of a processor, so that what else the machine does makes no mutant endless."""
    used: float = field(default=0.0)

    def run(self) -> None:
        """Collect the tests and try all mutants."""
        importlib.import_module("z3.z3core")
        pytest.main([*OPTIONS, *self.tests], plugins=[self])

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Try all mutants, if the true module passes."""
        if session.testsfailed or not session.items:
            return True
        self.as_it_is = self._trial(session, None)
        self.patience = SECONDS + 3 * self.used
        for mutant in self.mutants if self.as_it_is is Result.SURVIVED else ():
            self.told(mutant, self._trial(session, mutant))
        return True

    def _trial(self, session: pytest.Session, mutant: Mutant | None) -> Result:
        child = os.fork()
        if not child:
            self._look(session, mutant)
        limit = time.monotonic() + WAITED * self.patience
        while time.monotonic() < limit:
            ended, status, usage = os.wait4(child, os.WNOHANG)
            if ended:
                self.used = usage.ru_utime + usage.ru_stime
                if os.waitstatus_to_exitcode(status) == -signal.SIGXCPU:
                    return Result.ENDLESS
                return Result.KILLED if status else Result.SURVIVED
            time.sleep(0.002)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        return Result.ENDLESS

    def _look(self, session: pytest.Session, mutant: Mutant | None) -> None:
        """Run the tests in this fork, say nothing, and end it: with 0 if they pass."""
        passed = False
        try:
            most = math.ceil(self.patience)
            resource.setrlimit(resource.RLIMIT_CPU, (most, resource.RLIM_INFINITY))
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, 1)
            os.dup2(nowhere, 2)
            if mutant is None or mutant.inside:
                if mutant is not None:
                    change(sys.modules[self.module], self._code(mutant))
                passed = all(_passes(session, item) for item in session.items)
            else:
                forget()
                sys.meta_path.insert(0, Changed(self.module, self._code(mutant)))
                passed = not pytest.main(["-x", *OPTIONS, *self.tests])
        finally:
            os._exit(0 if passed else 1)

    def _code(self, mutant: Mutant) -> CodeType:
        mutant.place.put(mutant.new)
        return compile(ast.fix_missing_locations(self.tree), f"<changed {self.module}>", "exec")


def _passes(session: pytest.Session, item: pytest.Item) -> bool:
    item.config.hook.pytest_runtest_protocol(item=item, nextitem=None)
    return not session.testsfailed


def change(module: ModuleType, code: CodeType) -> None:
    """Give the functions of a module, and of its classes, the code that they have in another."""
    codes = {one.co_qualname: one for one in _codes(code)}
    for function in functions(module):
        function.__code__ = codes[function.__qualname__]


def functions(home: ModuleType | type) -> Iterator[FunctionType]:
    """Yield what is written as a function in a module or class, behind decorators too."""
    for held in list(vars(home).values()):
        behind = (getattr(held, name, None) for name in ("fget", "__wrapped__", "func"))
        inner = next((one for one in behind if one is not None), held)
        written = getattr(inner, "__module__", "") == getattr(home, "__module__", home.__name__)
        if isinstance(inner, FunctionType) and written and inner.__code__.co_filename != "<string>":
            yield inner
        elif isinstance(inner, type) and written:
            yield from functions(inner)


def _codes(code: CodeType) -> Iterator[CodeType]:
    for inner in code.co_consts:
        if isinstance(inner, CodeType):
            yield inner
            yield from _codes(inner)


def forget() -> None:
    """Drop all that is ours, so that it is loaded anew."""
    for name in list(sys.modules):
        if name.split(".")[0] in {"verifier", "tests"}:
            del sys.modules[name]


class Changed(MetaPathFinder, Loader):
    """Loads one module from changed code."""

    def __init__(self, module: str, code: CodeType) -> None:
        """Take the name of the module and what it should be."""
        self.module = module
        self.code = code

    def find_spec(
        self, fullname: str, path: object = None, target: object = None
    ) -> ModuleSpec | None:
        """Return how to load the module; None for any other."""
        del path, target
        return spec_from_loader(fullname, self) if fullname == self.module else None

    def exec_module(self, module: ModuleType) -> None:
        """Run the changed code."""
        exec(self.code, module.__dict__)  # noqa: S102 - ours, but for one change
