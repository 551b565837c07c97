"""Claims and assumptions: sentences with their conditions and times worked out."""

from collections.abc import Iterator
from typing import assert_never

from verifier.design import express, model, terms, wording
from verifier.design.express import Site, condition, fixed_ticks
from verifier.design.lookup import find_entry
from verifier.design.place import indices
from verifier.design.scope import KeptEntry, Mistake, PartEntry, Scope, telling
from verifier.design.values import Env
from verifier.syntax import tree

MOST_TIMES = 64
"""`at most N times in any D` keeps a clock for each of N starts."""

MOST_STEPS = 1_000
"""No chain of `only after` with more steps than this: each is kept as a flag and told in words."""

_NO_SCOPE = (tree.Possible, tree.NoSooner, tree.AlwaysPossible)
_SCOPES = (tree.WhileScope, tree.AfterScope, tree.FromUntilScope)


def sentence(node: tree.Sentence, site: Site, *, outermost: bool = True) -> model.Sentence:  # noqa: C901 - one case a form
    """Return a sentence with its conditions resolved and its times in ticks."""
    if not outermost and isinstance(node, (*_NO_SCOPE, tree.AnywhereScope)):
        raise Mistake(wording.claim_scope(node.span))
    match node:
        case tree.Never(what):
            return model.Never(condition(what, site))
        case tree.Always(what):
            return model.Never(terms.negate(condition(what, site)))
        case tree.Lasts():
            return _lasts(node, site)
        case tree.Returns(what, limit):
            return model.Returns(condition(what, site), _limit(limit, site))
        case tree.LeadsTo(cause, effect, limit):
            both = condition(cause, site), condition(effect, site)
            return model.LeadsTo(*both, _limit(limit, site))
        case tree.OnlyAfter():
            return _only_after(node, site)
        case tree.OnlyWhile(what, while_):
            return model.OnlyWhile(condition(what, site), condition(while_, site))
        case tree.AtMostTimes():
            return _at_most_times(node, site)
        case tree.Possible(what, limit, whatever):
            return model.Possible(condition(what, site), _limit(limit, site), whatever)
        case tree.NoSooner(what, limit):
            return model.NoSooner(condition(what, site), fixed_ticks(limit, site))
        case tree.AlwaysPossible(what, limit):
            return model.AlwaysPossible(condition(what, site), _limit(limit, site))
        case tree.Eventually(what, limit):
            return model.Eventually(condition(what, site), _limit(limit, site))
        case tree.WhileScope() | tree.AfterScope() | tree.FromUntilScope():
            return _scoped(node, site)
        case tree.AnywhereScope(inner):
            scoped = isinstance(inner, tree.AnywhereScope)
            return model.FromAnywhere(sentence(inner, site, outermost=not scoped))
        case _:
            assert_never(node)


def _scoped(
    node: tree.WhileScope | tree.AfterScope | tree.FromUntilScope, site: Site
) -> model.Sentence:
    inner = sentence(node.inner, site, outermost=False)
    match node:
        case tree.WhileScope(while_):
            return model.While(condition(while_, site), inner)
        case tree.AfterScope(after):
            return model.After(condition(after, site), inner)
        case tree.FromUntilScope(opens, shuts):
            return model.FromUntil(condition(opens, site), condition(shuts, site), inner)


def _limit(node: tree.Expression | None, site: Site) -> int | None:
    return None if node is None else fixed_ticks(node, site)


def _lasts(node: tree.Lasts, site: Site) -> model.Lasts:
    least, most = _limit(node.least, site), _limit(node.most, site)
    if least is not None and most is not None and least > most:
        raise Mistake(wording.range_backward(node.span))
    return model.Lasts(condition(node.what, site), least, most)


def _only_after(node: tree.OnlyAfter, site: Site) -> model.OnlyAfter:
    each = _limit(node.each, site)
    if len(node.links) > MOST_STEPS:
        raise Mistake(wording.too_many(node.span, "a chain of steps", MOST_STEPS))
    links = []
    for number, link in enumerate(node.links):
        limit = _limit(link.limit, site)
        if limit is None and number > 0:
            limit = each
        links.append(model.Link(condition(link.what, site), limit))
    return model.OnlyAfter(condition(node.what, site), tuple(links), each)


def _at_most_times(node: tree.AtMostTimes, site: Site) -> model.AtMostTimes:
    number = express.whole_number(node.number, site)
    if number < 0:
        raise Mistake(wording.negative_number(node.number.span, "a number of times"))
    if number > MOST_TIMES:
        raise Mistake(wording.too_many(node.number.span, "`at most ... times`", MOST_TIMES))
    window = fixed_ticks(node.window, site)
    if window < 1:
        raise Mistake(wording.empty_window(node.window.span))
    return model.AtMostTimes(condition(node.what, site), number, window)


# --- claims --------------------------------------------------------------------------------------


def claims(scope: Scope) -> tuple[model.Claim, ...]:
    """Return the claims of a design: those that are built in first, then the written ones."""
    found: list[model.Claim] = [*_built_in(scope)]
    for placed in scope.statements:
        if isinstance(placed.statement, tree.Claim):
            node, site = placed.statement, Site(scope, placed.env)
            with telling(scope.whole.collector):
                found.extend(_claim(node, site))
    return tuple(found)


def _claim(node: tree.Claim, site: Site) -> Iterator[model.Claim]:
    for index in indices(node.name, site):
        name = node.name.name if index is None else f"{node.name.name}[{index}]"
        resolved = sentence(node.sentence, site)
        yield model.Claim(name, node.text, resolved, node.span, node.sentence.span.quoted)


def _built_in(scope: Scope) -> Iterator[model.Claim]:
    whole = scope.whole
    excused = _excused(scope)
    using = [one for one in whole.scopes if one.uses is not None]
    starving = []
    for one in using:
        assert one.uses is not None
        above: Scope | None = one
        while above is not None and above not in excused:
            above = above.above
        if above is None:
            starving.append(model.Live(one.uses[2]))
    span = scope.block.name.span
    if using:
        never = model.Never(terms.any_of(starving))
        words = "no part is ever starving"
        yield model.Claim("fed", words, never, span, "never starving", model.BuiltIn.FED)
    if any(_is_count(entry) for one in whole.scopes for entry in one.entries()):
        words = "no count leaves its range"
        sentence_ = model.Never(terms.NO)
        yield model.Claim("counts", words, sentence_, span, words, model.BuiltIn.COUNTS)


def _is_count(entry: object) -> bool:
    return isinstance(entry, KeptEntry) and isinstance(entry.net.shape, model.Number)


def _excused(scope: Scope) -> list[Scope]:
    excused: list[Scope] = []

    def excuse(ref: tree.Ref, env: Env) -> None:
        entry = find_entry(ref, Site(scope, env), express.whole_number)
        if not isinstance(entry, PartEntry):
            raise Mistake(wording.not_a_part(ref.span))
        if entry.inside is not None:
            excused.append(entry.inside)

    for placed in scope.statements:
        if isinstance(placed.statement, tree.StarvingAllowed):
            for ref in placed.statement.parts:
                with telling(scope.whole.collector):
                    excuse(ref, placed.env)
    return excused


def assumptions(scopes: list[Scope]) -> tuple[model.Assumption, ...]:
    """Return the assumptions of the design and of every placed part."""
    found: list[model.Assumption] = []

    def assume(node: tree.Assume, site: Site) -> None:
        _check_form(node.sentence)
        resolved = sentence(node.sentence, site)
        found.append(model.Assumption(resolved, node.span, node.sentence.span.quoted))

    for scope in scopes:
        for placed in scope.statements:
            if isinstance(placed.statement, tree.Assume):
                node, site = placed.statement, Site(scope, placed.env)
                with telling(scope.whole.collector):
                    assume(node, site)
    return tuple(found)


def _check_form(node: tree.Sentence) -> None:
    inner = node
    while isinstance(inner, _SCOPES):
        inner = inner.inner
    endless = isinstance(inner, tree.LeadsTo | tree.Returns) and inner.limit is None
    banned = (tree.Possible, tree.AlwaysPossible, tree.Eventually, tree.AnywhereScope)
    if endless or isinstance(inner, banned):
        raise Mistake(wording.assume_form(inner.span))
