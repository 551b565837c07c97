"""Certificates as files: their names, and a folder in which nothing else is touched."""

import os
import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path, PurePath

import click

from verifier.cli.files import write_whole
from verifier.system.dump import digest
from verifier.system.model import System
from verifier.verdict.answer import Answer, Reach
from verifier.verdict.certificate import BEGINS, Head, certificate

_UNSAFE = re.compile(r"[^A-Za-z0-9_-]")
_LONGEST = 60


def places(folder: Path, systems: Sequence[System]) -> list[dict[str, Path]]:
    """Return for each system the file for the certificate of each claim; makes the folder.

    Raises:
        click.UsageError: There can be no such folder, or a file of another kind stands there.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as wrong:
        raise click.UsageError(f"cannot make the folder {folder}: {wrong.strerror}") from wrong
    taken: set[str] = set()
    found = [
        {
            question.name: folder / _unique(f"{system.design.name}.{question.name}", taken)
            for question in system.questions
        }
        for system in systems
    ]
    for path in (path for one in found for path in one.values()):
        if not _ours(path):
            raise click.UsageError(f"{path} is no certificate, and is left alone: name another DIR")
    return found


def _unique(name: str, taken: set[str]) -> str:
    """Return a file name that any system takes, and that no other one of this call has."""
    design, _, claim = name.partition(".")
    plain = ".".join(_UNSAFE.sub("_", part)[:_LONGEST] for part in (design, claim))
    name, count = plain, 1
    while name.lower() in taken:
        count += 1
        name = f"{plain}-{count}"
    taken.add(name.lower())
    return f"{name}.certificate"


def _ours(path: Path) -> bool:
    """Whether there is no such file, or one that may be written anew."""
    if not path.is_symlink() and not path.exists():
        return True
    if path.is_symlink() or not path.is_file():
        return False
    with path.open("rb") as file:
        return file.read(len(BEGINS)) == BEGINS.encode()


def write(
    system: System, answers: Sequence[Answer], files: Mapping[str, Path], values: Mapping[str, str]
) -> Iterator[tuple[str, Path]]:
    """Write the certificates that there are; yield the claim and the file of each.

    Raises:
        click.UsageError: A file cannot be written.
    """
    settled = [answer for answer in answers if answer.outcome.certificate]
    known = digest(system) if settled else ""
    for answer in settled:
        path, outcome, claim = files[answer.question.name], answer.outcome, answer.question.claim
        head = Head(
            file=_seen_from(path.parent, Path(system.design.file)),
            design=system.design.name,
            tick_ns=system.design.tick_ns,
            settings=tuple(values.items()),
            system=known,
            claim=claim.name,
            written=claim.written,
            verdict=outcome.verdict,
            until=outcome.until if outcome.reach is Reach.UP_TO else None,
        )
        try:
            write_whole(path, certificate(head, outcome.certificate))
        except OSError as wrong:
            raise click.UsageError(f"cannot write {path}: {wrong.strerror}") from wrong
        yield claim.name, path


def _seen_from(folder: Path, file: Path) -> str:
    """Return the path of a file as seen from a folder; its name alone where there is no way."""
    try:
        return PurePath(os.path.relpath(file.resolve(), folder.resolve())).as_posix()
    except ValueError:
        return file.name
