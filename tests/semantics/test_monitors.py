"""Monitors against the table: the same first broken tick on every row of ticks."""

from collections.abc import Iterator
from itertools import chain, combinations, product
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.semantics import sentences as forms
from tests.semantics import table
from tests.semantics.table import Row
from tests.semantics.watcher import Watcher
from verifier.design.model import Sentence

if TYPE_CHECKING:
    from verifier.system.state import State

LENGTHS = {1: 10, 2: 5, 3: 4, 4: 3}  # ticks gone through without a gap, by the letters at play


def subsets(letters: str) -> list[Row]:
    sizes = range(len(letters) + 1)
    return [frozenset(some) for size in sizes for some in combinations(letters, size)]


def every_sentence() -> Iterator[Sentence]:
    for limit in range(4):
        yield from forms.timed(limit)
    yield from forms.untimed()
    yield from forms.unlimited()


def every_scoped() -> Iterator[Sentence]:
    inner = [*forms.timed(2), *forms.untimed(), *forms.unlimited()]
    return chain.from_iterable(forms.scoped(one) for one in inner)


def agree_on_all(sentence: Sentence, length: int) -> int:
    """Compare on every row of ticks up to a length; return how many were compared."""
    watcher, rows = Watcher(sentence), subsets(forms.letters_of(sentence))
    compared = 0
    stack: list[tuple[tuple[Row, ...], State, bool, bool]] = [((), watcher.start, False, False)]
    while stack:
        so_far, state, was_bad, was_asked = stack.pop()
        for row in rows:
            seen = (*so_far, row)
            after, (bad, _, asked, _) = watcher.tick(state, row)
            is_bad, is_asked = was_bad or bad, was_asked or asked
            assert is_bad == table.broken(sentence, seen), (sentence, seen)
            assert is_asked == table.tested(sentence, seen), (sentence, seen)
            compared += 1
            if len(seen) < length:
                stack.append((seen, after, is_bad, is_asked))
    return compared


@pytest.mark.parametrize("sentence", list(every_sentence()), ids=repr)
def test_every_short_run_breaks_a_sentence_where_the_table_says(sentence: Sentence) -> None:
    assert agree_on_all(sentence, LENGTHS[len(forms.letters_of(sentence))]) > 500


@pytest.mark.parametrize("sentence", list(every_scoped()), ids=repr)
def test_every_short_run_breaks_a_sentence_in_scopes_where_the_table_says(
    sentence: Sentence,
) -> None:
    assert agree_on_all(sentence, LENGTHS[len(forms.letters_of(sentence))] - 1) > 80


@settings(max_examples=8 * settings().max_examples)
@given(forms.sentences, forms.rows)
def test_longer_runs_agree(sentence: Sentence, rows: list[Row]) -> None:
    first = Watcher(sentence).first_bad(rows)
    for length in range(1, len(rows) + 1):
        assert table.broken(sentence, rows[:length]) == (first is not None and first < length)


@settings(max_examples=5 * settings().max_examples)
@given(
    st.one_of(st.sampled_from([*forms.unlimited()]), forms.sentences),
    st.lists(st.frozensets(st.sampled_from("pqrs")), max_size=5),
    st.lists(st.frozensets(st.sampled_from("pqrs")), min_size=1, max_size=4),
)
def test_endless_runs_agree(sentence: Sentence, stem: list[Row], loop: list[Row]) -> None:
    expected = table.broken_for_ever(sentence, stem, loop, 10)
    assert Watcher(sentence).fails_for_ever(stem, loop) == expected


def scoped_unlimited() -> Iterator[Sentence]:
    for one in forms.unlimited():
        yield one
        yield from forms.scoped(one)


@pytest.mark.parametrize("sentence", list(scoped_unlimited()), ids=repr)
def test_short_endless_runs_agree_on_forms_without_a_limit(sentence: Sentence) -> None:
    watcher, rows = Watcher(sentence), subsets(forms.letters_of(sentence))
    size = 2 if len(rows) <= 4 else 1
    for stem in chain.from_iterable(product(rows, repeat=n) for n in range(size + 1)):
        for loop in chain.from_iterable(product(rows, repeat=n) for n in range(1, size + 1)):
            expected = table.broken_for_ever(sentence, stem, loop, 0)
            assert watcher.fails_for_ever(stem, loop) == expected, (stem, loop)
