"""Every form of claim, every scope and every standard kind is used in some demo design."""

from collections.abc import Iterator
from typing import get_args

from tests.designs.notes import PATHS, design_of
from verifier.design import files, model
from verifier.source.diagnostic import Collector
from verifier.syntax import tree

SCOPES = (model.While, model.After, model.FromUntil, model.FromAnywhere)


def sentences(whole: model.Sentence) -> Iterator[model.Sentence]:
    """Yield a sentence and those inside it."""
    yield whole
    if isinstance(whole, SCOPES):
        yield from sentences(whole.inner)


def all_sentences() -> list[model.Sentence]:
    return [
        sentence
        for path in PATHS
        for claim in design_of(path).claims
        if claim.built_in is None
        for sentence in sentences(claim.sentence)
    ]


def test_every_form_and_scope() -> None:
    used = {type(one) for one in all_sentences()}
    assert set(get_args(model.Sentence)) - used == set()


def test_every_way_of_a_form() -> None:
    """With and without limits, at least, at most, between, chains with limits and without."""
    found = all_sentences()
    lasts = {(one.least is None, one.most is None) for one in found if isinstance(one, model.Lasts)}
    assert lasts == {(False, True), (True, False), (False, False)}
    exact = {one.least == one.most for one in found if isinstance(one, model.Lasts)}
    assert exact == {True, False}
    for form in (model.Returns, model.LeadsTo, model.Possible, model.AlwaysPossible):
        assert {one.limit is None for one in found if isinstance(one, form)} == {True, False}, form
    after = [one for one in found if isinstance(one, model.OnlyAfter)]
    assert {len(one.links) for one in after} >= {1, 2, 3}
    assert any(one.limit is not None for one in after)
    assert any(link.limit is not None for one in after for link in one.links)
    assert {one.whatever for one in found if isinstance(one, model.Possible)} == {True, False}


def kinds_used() -> set[str]:
    return {part.kind for path in PATHS for part in design_of(path).parts}


def test_nearly_every_kind() -> None:
    """The plainest gates stand as words of conditions in most designs."""
    known = {block.name.text for block in files.standard().file.blocks}
    assert known - kinds_used() <= {"and_gate", "xor_gate", "not_gate", "inhibit", "toggle", "edge"}


def statements() -> Iterator[tree.Statement]:
    for path in PATHS:
        unit = files.load(path, Collector())
        assert unit is not None
        for block in unit.file.blocks:
            yield from block.body


def test_words_of_the_language_at_large() -> None:
    """Rows, loops, rooms, tolerance and the rest are shown somewhere."""
    used = {type(one) for one in statements()}
    wanted = {tree.Tick, tree.Tolerance, tree.Setting, tree.Let, tree.For, tree.Keep, tree.Free}
    wanted |= {tree.Rooms, tree.Passage, tree.Walker, tree.OnePress, tree.Becomes, tree.Wire}
    assert wanted - used <= {tree.Free}
