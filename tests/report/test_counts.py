"""Numbers in words."""

import pytest

from verifier.report.counts import ordinal


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (1, "first"),
        (6, "sixth"),
        (7, "7th"),
        (11, "11th"),
        (12, "12th"),
        (21, "21st"),
        (23, "23rd"),
    ],
)
def test_places_in_a_row(number: int, words: str) -> None:
    assert ordinal(number) == words
