"""What the files may name: no host outside the list, no folder of one particular machine."""

import re

from tests.repo.tree import ROOT, texts, where

# The hosts that may be named, each for a reason: schemas and name spaces that are never fetched.
HOSTS = {
    "json-schema.org": "the name of the schema language",
    "www.w3.org": "the name space of SVG",
}
HOST = re.compile(r"\b(?:[a-z0-9-]+\.)+(?:org|com|io|dev)\b", re.IGNORECASE)
MACHINE = re.compile(r"(?<![\w.~-])/(?:work|home|root|Users)/\w")


def places(pattern: re.Pattern[str]) -> dict[str, str]:
    found = {}
    for path in texts():
        if path.name == "test_words.py":
            continue
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
            for one in pattern.findall(line):
                if one.lower() not in HOSTS:
                    found[where(path, number)] = one
    return found


def test_no_unknown_host_is_named() -> None:
    assert not places(HOST)


def test_no_folder_of_one_machine_is_named() -> None:
    assert not places(MACHINE)


def test_the_patterns_see_what_they_are_for() -> None:
    assert HOST.findall("index of packages.example.org, verifier.source.text") == [
        "packages.example.org"
    ]
    assert MACHINE.findall("in /home/ann and a/home/x") == ["/home/a"]


def test_texts_are_found() -> None:
    names = {str(path.relative_to(ROOT)) for path in texts()}
    assert {"README.md", "pyproject.toml", "verifier/__init__.py", ".ci/run"} <= names
