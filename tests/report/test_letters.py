"""What is printed can neither move the cursor nor hide."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from verifier.report.letters import cut, padded, shown, width


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("door", "door"),
        ("tür 蝶", "tür 蝶"),
        ("\x1b[31mred", r"\x1b[31mred"),
        ("a\tb\r\n\x07", r"a\x09b\x0d\x0a\x07"),
        ("\u202eevil", r"\u202eevil"),  # turns the direction of writing round
        ("\u2066\u2069\u200b", r"\u2066\u2069\u200b"),
        ("\x9b31m", r"\x9b31m"),  # the one-letter form of escape and bracket
        ("\U000e0041", r"\U000e0041"),  # a tag letter, shown by nothing
        ("\udc80", r"\udc80"),  # a byte of a file name that is no UTF-8
    ],
)
def test_hidden_letters_are_shown_by_number(text: str, expected: str) -> None:
    assert shown(text) == expected


@given(st.text())
def test_nothing_hidden_is_left(text: str) -> None:
    assert not {unicodedata.category(one) for one in shown(text)} & {"Cc", "Cf", "Cs", "Co", "Cn"}


@given(st.text(st.characters(exclude_categories=["C", "M", "Z"])), st.integers(0, 12))
def test_texts_are_cut_to_columns(text: str, columns: int) -> None:
    assert width(cut(text, columns)) <= columns
    assert width(padded(text, columns)) == columns
    if width(text) <= columns:
        assert cut(text, columns) == text
