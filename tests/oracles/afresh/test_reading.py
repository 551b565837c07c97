"""Texts to nodes."""

import pytest

from tests.oracles.afresh.letters import UnsureError, tokens
from tests.oracles.afresh.phrases import Phrases
from tests.oracles.afresh.placing import STANDARD
from tests.oracles.afresh.reading import read


def ref(name: str) -> tuple[object, ...]:
    return ("ref", ((name, None),))


A, B, C = ref("a"), ref("b"), ref("c")


def test_tokens_know_what_stands_first_on_a_line() -> None:
    found = tokens("a 3 s # no more\n -> b")
    assert [(one.sort, one.text) for one in found[:-1]] == [
        ("name", "a"),
        ("time", "3 s"),
        ("sign", "->"),
        ("name", "b"),
    ]
    assert [one.fresh for one in found] == [False, False, True, False, True]


def test_a_letter_that_is_none_is_not_passed_over() -> None:
    with pytest.raises(UnsureError):
        tokens("a ? b")


@pytest.mark.parametrize(
    ("text", "node"),
    [
        ("a or b and not c", ("or", A, ("and", B, ("not", C)))),
        ("(a or b) and c", ("and", ("or", A, B), C)),
        ("not a = b", ("not", ("compare", "=", A, B))),
        ("a - b - c", ("binary", "-", ("binary", "-", A, B), C)),
        ("a + b * c", ("binary", "+", A, ("binary", "*", B, C))),
        ("a starts and b ends", ("and", ("starts", A), ("ends", B))),
        ("a is not b", ("compare", "!=", A, B)),
        ("a is not in b", ("not", ("in room", A, B))),
        ("someone is between a and b", ("between", None, A, B)),
        ("at most 2 of (a, b)", ("tally", "at most", ("number", 2), [A, B])),
        ("a when b else c", ("choose", B, A, C)),
        ("a[2].b", ("ref", (("a", ("number", 2)), ("b", None)))),
    ],
)
def test_expressions_bind_as_the_grammar_says(text: str, node: object) -> None:
    reader = Phrases(text)
    assert reader.expression() == node
    assert reader.token().sort == "end"


def test_words_of_one_stand_on_one_line() -> None:
    assert Phrases("at most 1 of (a)").expression()[0] == "tally"
    with pytest.raises(UnsureError):
        Phrases("a at\nmost 1 times in any 2 s").sentence()


@pytest.mark.parametrize(
    ("text", "node"),
    [
        ("always a", ("never", ("not", A))),
        ("a lasts 1 s .. 2 s", ("lasts", A, ("time", 1, "s"), ("time", 2, "s"))),
        ("a lasts at most 2 s", ("lasts", A, None, ("time", 2, "s"))),
        ("while a: b leads to c", ("while", A, ("leads to", B, C, None))),
        ("possible a whatever the spans", ("possible", A, None, True)),
        (
            "a only after b then c each within 1 s",
            ("only after", A, [(B, None), (C, None)], ("time", 1, "s")),
        ),
        ("from a until b: never c", ("from", A, B, ("never", C))),
        ("from anywhere: never c", ("anywhere", ("never", C))),
    ],
)
def test_sentences(text: str, node: object) -> None:
    assert Phrases(text).sentence() == node


def test_the_standard_parts_are_read() -> None:
    file = read(STANDARD.read_text(encoding="utf-8"))
    names = [one.name for one in file.blocks]
    assert {"pulse", "latch", "door", "daylight"} <= set(names)
    assert len(set(names)) == len(names) == STANDARD.read_text(encoding="utf-8").count("\nkind ")


@pytest.mark.parametrize("line", ["hums loudly", "keep a", "a becomes", "tick soon", "a -> 3"])
def test_a_line_that_is_not_known_is_told(line: str) -> None:
    with pytest.raises(UnsureError):
        read(f"design hedge {{ {line} }}")
