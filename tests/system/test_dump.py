"""The text of a system is the same each time, and another one where anything is changed."""

import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import fields, replace
from typing import Any, TypeVar

from tests.repo.tree import ROOT
from tests.system.bank import everything
from verifier.system.dump import digest, dump
from verifier.system.expr import Node
from verifier.system.lower import lower
from verifier.system.model import Bits, Choice, Clock, Form, Load, Question, Register, System

SYSTEM = lower(everything())
TEXT = dump(SYSTEM)

Part = Choice | Register | Clock | Question | Bits
T = TypeVar("T", bound=Choice | Register | Clock | Question | Bits | System)


def test_every_kind_of_line_is_in_the_text() -> None:
    words = {line.split()[0] for line in TEXT.splitlines()}
    assert words == {
        "system",
        "choice",
        "node",
        "register",
        "clock",
        "allowed",
        "domain",
        "question",
        "shown",
        "end",
    }
    assert {"turned", "load"} <= set(TEXT.split())


def test_another_process_gives_the_same_hash() -> None:
    code = (
        "from tests.system.bank import everything; from verifier.system.lower import lower;"
        "from verifier.system.dump import digest; print(digest(lower(everything())))"
    )
    seen = {
        subprocess.run(
            [sys.executable, "-c", code],
            cwd=ROOT,
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout.strip()
        for seed in ("1", "2")
    }
    assert seen == {digest(SYSTEM)}


def with_field(whole: T, name: str, value: Any) -> T:  # noqa: ANN401 - of any field
    return replace(whole, **{name: value})


def other(value: object) -> object:
    """Return another value of the same kind as that of a field."""
    match value:
        case bool():
            return not value
        case int():
            return value + 1
        case str():
            return f"{value}'"
        case Form():
            return Form.REACH if value is Form.AVOID else Form.AVOID
        case None:
            return 7
        case Node():
            return SYSTEM.pool.not_(value)
        case (Load() as first, *rest):
            return (replace(first, high=first.high + 1), *rest)
        case (first, *rest):
            return (other(first), *rest)
        case _:
            return (Load(SYSTEM.pool.yes, 1, 2),)


def changed(part: Part) -> Iterator[tuple[str, Part]]:
    """Yield a part of the system with one field changed, for each field that means something."""
    for one in fields(part):
        value = getattr(part, one.name)
        unset = value is None and one.name == "trigger"
        if one.name != "claim":  # what is written is in a certificate beside the hash
            new = SYSTEM.pool.yes if unset else other(value)
            yield one.name, with_field(part, one.name, new)


def systems() -> Iterator[tuple[str, System]]:
    for row in ("choices", "registers", "clocks", "questions"):
        first, *rest = getattr(SYSTEM, row)
        for name, part in changed(first):
            yield f"{row}.{name}", with_field(SYSTEM, row, (part, *rest))
        yield f"one of {row}", with_field(SYSTEM, row, tuple(rest))
    for name in ("allowed", "domain"):
        yield name, with_field(SYSTEM, name, SYSTEM.pool.not_(getattr(SYSTEM, name)))
    path, bits = next(iter(SYSTEM.shown.items()))
    for name, part in changed(bits):
        yield f"shown.{name}", with_field(SYSTEM, "shown", {**SYSTEM.shown, path: part})


def test_whatever_is_changed_changes_the_hash() -> None:
    found = {name: digest(system) for name, system in systems()}
    assert len(found) > 25
    assert {name for name, one in found.items() if one == digest(SYSTEM)} == set()
    assert len(set(found.values())) == len(found)
