"""Any text at all is read, or told what is wrong with it; no text makes the reader fall over."""

import re
import time

import lark
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.strategies.syntax import damaged
from tests.syntax.test_round_trip import TEXTS
from verifier.source.diagnostic import Collector, Severity
from verifier.source.shipped import shipped_text
from verifier.source.text import Source
from verifier.syntax.parse import parse
from verifier.syntax.tidy import tidy

WHOLE = [path.read_text(encoding="utf-8") for path in TEXTS]
TERMINALS = {
    one.name
    for one in lark.Lark(shipped_text("design.lark"), parser="lalr", start="file").terminals
} | {"UnexpectedToken", "$END"}


def check(text: str) -> None:
    source = Source("x.latch", text)
    collector = Collector()
    file = parse(source, collector)
    assert (file is None) == collector.failed, text
    for one in collector.found:
        assert one.severity is Severity.ERROR
        assert one.span is not None
        assert 0 <= one.span.start <= one.span.end <= len(text)
        told = " ".join([one.headline, one.words, *one.notes, one.mend or ""])
        told = re.sub(r"`[^`]*`", "", told)
        assert not set(re.findall(r"[A-Z_$]{3,}", told)) & TERMINALS, told
        assert told.isprintable(), told
    if file is not None:
        assert tidy(source, collector) is not None


@given(damaged(st.sampled_from(WHOLE)))
def test_damaged_texts(text: str) -> None:
    check(text)


@given(st.text(max_size=60))
def test_any_letters(text: str) -> None:
    check(text)
    check(f"design d {{\n{text}\n}}\n")


@pytest.mark.parametrize(
    "text",
    [
        "design d { let a = " + "(" * 10_000 + "b" + ")" * 10_000 + " }",
        "design d { let a = " + "not " * 10_000 + "b }",
        "design d { let a = " + "b and " * 10_000 + "b }",
        "design d { let a = " + "b[" * 10_000 + "1" + "]" * 10_000 + " }",
        "design d { " + "for i in 1..2 { " * 10_000 + "}" * 10_000 + " }",
        "design d { claim a: " + "while b: " * 10_000 + "never c }",
        "design d { let a = " + "1 when b else (" * 10_000 + "2" + ")" * 10_000 + " }",
    ],
    ids=lambda text: text[11:40],
)
def test_deep_texts_are_told_quickly(text: str) -> None:
    collector = Collector()
    begun = time.process_time()
    assert parse(Source("x.latch", text), collector) is None
    assert time.process_time() - begun < 10
    assert [one.code for one in collector.found] == ["too-deep"]


def test_texts_may_nest_up_to_the_limit() -> None:
    text = "design d { let a = " + "(" * 90 + "b" + ")" * 90 + " and c" * 90 + " }"
    collector = Collector()
    file = parse(Source("x.latch", text), collector)
    assert file is not None
    assert file == file  # noqa: PLR0124 - comparing must not run out of stack either
