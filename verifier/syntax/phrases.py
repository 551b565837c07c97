"""What names, expressions and sentences become: for each rule of the grammar, a function.

Each is called with what the parts of the rule have become, and with its place. Most rules are
simply a class of nodes.
"""

from collections.abc import Callable
from functools import partial
from typing import cast

from verifier.source.text import Span
from verifier.syntax import tree

# --- names ---------------------------------------------------------------------------------------


def _word(name: tree.Word, *, span: Span) -> tree.Word:
    return tree.Word(name.text, span=span)


def _head(name: tree.Word, index: tree.Value | None, *, span: Span) -> tree.Step:
    return tree.Step(name.text, index, span=span)


def _member(name: tree.Word, index: tree.Value | None, *, span: Span) -> tree.Step:
    return tree.Step(name.text[1:], index, span=Span(span.source, span.start + 1, span.end))


def _ref(*steps: tree.Step, span: Span) -> tree.Ref:
    return tree.Ref(steps, span=span)


def several(*parts: object, span: Span) -> tuple[object, ...]:
    """Gather the parts of a list, without the gaps."""
    del span
    return tuple(one for one in parts if one is not None)


def _same(value: object, *, span: Span) -> object:
    del span
    return value


def _squeezed(word: tree.Word) -> str:
    """Bring a word of several parts to single blanks."""
    return " ".join(word.text.split())


# --- sentences -----------------------------------------------------------------------------------


def _lasts(what: tree.Expression, span_of: tree.Value, *, span: Span) -> tree.Lasts:
    if isinstance(span_of, tree.Range):
        return tree.Lasts(what, span_of.low, span_of.high, span=span)
    return tree.Lasts(what, span_of, span_of, span=span)


def _lasts_at_least(
    what: tree.Expression, _words: tree.Word, least: tree.Expression, *, span: Span
) -> tree.Lasts:
    return tree.Lasts(what, least, None, span=span)


def _lasts_at_most(
    what: tree.Expression, _words: tree.Word, most: tree.Expression, *, span: Span
) -> tree.Lasts:
    return tree.Lasts(what, None, most, span=span)


def _leads_to(
    cause: tree.Expression,
    _words: tree.Word,
    effect: tree.Expression,
    limit: tree.Expression | None,
    *,
    span: Span,
) -> tree.LeadsTo:
    return tree.LeadsTo(cause, effect, limit, span=span)


def _only_after(
    what: tree.Expression, _words: tree.Word, first: tree.Expression, *rest: object, span: Span
) -> tree.OnlyAfter:
    *links, _each, each = rest
    chain = (
        tree.ChainLink(first, None, span=first.span),
        *cast("list[tree.ChainLink]", links),
    )
    return tree.OnlyAfter(what, chain, cast("tree.Expression | None", each), span=span)


def _only_while(
    what: tree.Expression, _words: tree.Word, condition: tree.Expression, *, span: Span
) -> tree.OnlyWhile:
    return tree.OnlyWhile(what, condition, span=span)


def _at_most_times(
    what: tree.Expression,
    _most: tree.Word,
    number: tree.Expression,
    _times: tree.Word,
    window: tree.Expression,
    *,
    span: Span,
) -> tree.AtMostTimes:
    return tree.AtMostTimes(what, number, window, span=span)


def _no_sooner(
    what: tree.Expression, _words: tree.Word, limit: tree.Expression, *, span: Span
) -> tree.NoSooner:
    return tree.NoSooner(what, limit, span=span)


def _possible(
    what: tree.Expression,
    limit: tree.Expression | None,
    whatever: tree.Word | None,
    *,
    span: Span,
) -> tree.Possible:
    return tree.Possible(what, limit, whatever is not None, span=span)


def _always_possible(
    _words: tree.Word, what: tree.Expression, limit: tree.Expression | None, *, span: Span
) -> tree.AlwaysPossible:
    return tree.AlwaysPossible(what, limit, span=span)


def _anywhere_scope(_words: tree.Word, inner: tree.Sentence, *, span: Span) -> tree.AnywhereScope:
    return tree.AnywhereScope(inner, span=span)


# --- expressions ---------------------------------------------------------------------------------


def _number(number: tree.Word, *, span: Span) -> tree.Number:
    return tree.Number(int(number.text), span=span)


def span_of_time(time: tree.Word, *, span: Span) -> tree.Time:
    """Read a time: a number and its unit."""
    digits = len(time.text) - len(time.text.lstrip("0123456789"))
    unit = time.text[digits:].strip()
    return tree.Time(int(time.text[:digits]), "tick" if unit == "ticks" else unit, span=span)


def _yes_no(word: tree.Word, *, span: Span) -> tree.YesNo:
    return tree.YesNo(word.text == "yes", span=span)


def _joined(
    operator: tree.Operator, left: tree.Expression, right: tree.Expression, *, span: Span
) -> tree.Binary:
    return tree.Binary(operator, left, right, span=span)


def _binary(
    left: tree.Expression, operator: tree.Word, right: tree.Expression, *, span: Span
) -> tree.Binary:
    return tree.Binary(tree.Operator(_squeezed(operator)), left, right, span=span)


def _edge(inner: tree.Expression, *, rising: bool, span: Span) -> tree.Edge:
    return tree.Edge(inner, rising, span=span)


def _choose(
    then: tree.Expression, condition: tree.Expression, other: tree.Expression, *, span: Span
) -> tree.Choose:
    return tree.Choose(then, condition, other, span=span)


def _someone(*, span: Span) -> None:
    del span


def _in_room(
    walker: tree.Ref | None, words: tree.Word, room: tree.Ref, *, span: Span
) -> tree.InRoom:
    return tree.InRoom(walker, room, "not" in words.text.split(), span=span)


def _between(
    walker: tree.Ref | None, words: tree.Word, one: tree.Ref, other: tree.Ref, *, span: Span
) -> tree.Between:
    return tree.Between(walker, one, other, "not" in words.text.split(), span=span)


def _counted(
    words: tree.Word, number: tree.Expression, items: tuple[tree.Expression, ...], *, span: Span
) -> tree.Tally:
    return tree.Tally(tree.Measure(_squeezed(words)), number, items, span=span)


def _measured(words: tree.Word, items: tuple[tree.Expression, ...], *, span: Span) -> tree.Tally:
    return tree.Tally(tree.Measure(words.text.split()[0]), None, items, span=span)


def _walkers_in(_words: tree.Word, room: tree.Ref, *, span: Span) -> tree.WalkersIn:
    return tree.WalkersIn(room, span=span)


PHRASES: dict[str, Callable[..., object]] = {
    "never": tree.Never,
    "always": tree.Always,
    "lasts": _lasts,
    "lasts_at_least": _lasts_at_least,
    "lasts_at_most": _lasts_at_most,
    "returns": tree.Returns,
    "leads_to": _leads_to,
    "only_after": _only_after,
    "link": tree.ChainLink,
    "only_while": _only_while,
    "at_most_times": _at_most_times,
    "no_sooner": _no_sooner,
    "possible": _possible,
    "always_possible": _always_possible,
    "eventually": tree.Eventually,
    "while_scope": tree.WhileScope,
    "after_scope": tree.AfterScope,
    "from_until_scope": tree.FromUntilScope,
    "anywhere_scope": _anywhere_scope,
    "within": _same,
    "range": tree.Range,
    "choose": _choose,
    "or": partial(_joined, tree.Operator.OR),
    "and": partial(_joined, tree.Operator.AND),
    "not": tree.Not,
    "compare": _binary,
    "equal": partial(_joined, tree.Operator.EQUAL),
    "is": _binary,
    "in_room": _in_room,
    "between": _between,
    "someone": _someone,
    "starts": partial(_edge, rising=True),
    "ends": partial(_edge, rising=False),
    "binary": _binary,
    "times": partial(_joined, tree.Operator.TIMES),
    "div": partial(_joined, tree.Operator.DIV),
    "mod": partial(_joined, tree.Operator.MOD),
    "number": _number,
    "time": span_of_time,
    "yes_no": _yes_no,
    "anywhere": tree.Anywhere,
    "counted": _counted,
    "measured": _measured,
    "items": several,
    "walkers_in": _walkers_in,
    "ref": _ref,
    "head": _head,
    "member": _member,
    "index": _same,
    "word": _word,
}
"""By the names of rules, or of their alternatives."""
