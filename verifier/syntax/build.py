"""From what the grammar recognised to the nodes of `verifier.syntax.tree`.

The pieces are visited from the leaves up in one loop, so that no text, however deep, can exhaust
the stack. Each rule of grammar/design.lark has one function here, called with what its parts have
become and with its place; most rules are simply a class of nodes.
"""

import re
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import Protocol, cast

from verifier.source.text import Source, Span
from verifier.syntax import tree

LIMIT = 200
"""How deep expressions, blocks and sentences may nest, in nodes."""


class Place(Protocol):
    """Where a piece stands, in letters from the start of the text."""

    @property
    def start_pos(self) -> int:
        """Its first letter."""

    @property
    def end_pos(self) -> int:
        """The letter after its last."""


class Piece(Protocol):
    """One recognised rule: its name, its place, and pieces, tokens and gaps within."""

    @property
    def data(self) -> str:
        """The name of the rule."""

    @property
    def children(self) -> Sequence[object]:
        """Pieces, tokens, and None where something optional is left out."""

    @property
    def meta(self) -> Place:
        """Its place."""


def build(pieces: Iterable[Piece], source: Source) -> tree.File | Span:
    """Build a file from its pieces, each after those within it.

    Returns:
        The file, or the smallest place that nests deeper than `LIMIT`.
    """
    made: dict[int, object] = {}
    depths: dict[int, int] = {}
    result: object = None
    for piece in pieces:
        span = Span(source, getattr(piece.meta, "start_pos", 0), getattr(piece.meta, "end_pos", 0))
        depth = 1 + max((depths.get(id(one), 0) for one in piece.children), default=0)
        if depth > LIMIT:
            return span
        depths[id(piece)] = depth
        parts = [made[id(one)] if id(one) in made else _leaf(one, source) for one in piece.children]
        result = made[id(piece)] = _BUILDERS[piece.data](*parts, span=span)
    if not isinstance(result, tree.File):
        raise TypeError(result)
    return result


def _leaf(leaf: object, source: Source) -> tree.Word | None:
    """Turn a token into a word; a gap stays one."""
    if leaf is None:
        return None
    start = getattr(leaf, "start_pos", 0)
    text = str(leaf)
    return tree.Word(text, span=Span(source, start, start + len(text)))


# --- names ---------------------------------------------------------------------------------------


def _word(name: tree.Word, *, span: Span) -> tree.Word:
    return tree.Word(name.text, span=span)


def _head(name: tree.Word, index: tree.Value | None, *, span: Span) -> tree.Step:
    return tree.Step(name.text, index, span=span)


def _member(name: tree.Word, index: tree.Value | None, *, span: Span) -> tree.Step:
    return tree.Step(name.text[1:], index, span=Span(span.source, span.start + 1, span.end))


def _ref(*steps: tree.Step, span: Span) -> tree.Ref:
    return tree.Ref(steps, span=span)


def _same(value: object, *, span: Span) -> object:
    del span
    return value


def _declared(step: tree.Step) -> tree.Declared:
    return tree.Declared(step.name, step.index, span=step.span)


def _label(word: tree.Word) -> tree.Word:
    """Take the name out of `name:`."""
    name = word.text[:-1].rstrip()
    start = word.span.start
    return tree.Word(name, span=Span(word.span.source, start, start + len(name)))


def _text(word: tree.Word | None) -> str | None:
    """Take the letters out of `"..."`."""
    return None if word is None else re.sub(r"\\(.)", r"\1", word.text[1:-1])


def _squeezed(word: tree.Word) -> str:
    """Bring a word of several parts to single blanks."""
    return " ".join(word.text.split())


# --- files and heads -----------------------------------------------------------------------------


def _file(*parts: tree.Use | tree.Block, span: Span) -> tree.File:
    uses = tuple(one for one in parts if isinstance(one, tree.Use))
    blocks = tuple(one for one in parts if isinstance(one, tree.Block))
    return tree.File(uses, blocks, span=span)


def _use(path: tree.Word, *, span: Span) -> tree.Use:
    return tree.Use(_text(path) or "", span=span)


def _block(
    name: tree.Word,
    parameters: tuple[tree.Parameter, ...] | None,
    text: tree.Word | None,
    body: tuple[tree.Statement, ...],
    *,
    is_design: bool,
    span: Span,
) -> tree.Block:
    return tree.Block(name, parameters or (), _text(text), body, is_design, span=span)


def _several(*parts: object, span: Span) -> tuple[object, ...]:
    del span
    return tuple(one for one in parts if one is not None)


def _parameter(
    name: tree.Word, kind: tree.Type, default: tree.Value | None, *, span: Span
) -> tree.Parameter:
    return tree.Parameter(_label(name), kind, default, span=span)


def _choice_type(_one_of: tree.Word, *options: tree.Word, span: Span) -> tree.ChoiceType:
    return tree.ChoiceType(options, span=span)


# --- statements ----------------------------------------------------------------------------------


def _tolerance(percent: tree.Word, *, span: Span) -> tree.Tolerance:
    return tree.Tolerance(int(percent.text), span=span)


def _tick(length: tree.Word, *, span: Span) -> tree.Tick:
    return tree.Tick(_time(length, span=length.span), span=span)


def _let(name: tree.Step, value: tree.Expression, *, span: Span) -> tree.Let:
    return tree.Let(_declared(name), value, span=span)


def _part(
    name: tree.Step, kind: tree.Word, arguments: tuple[tree.Argument, ...] | None, *, span: Span
) -> tree.Part:
    return tree.Part(_declared(name), kind, arguments or (), span=span)


def _argument(name: tree.Word | None, value: tree.Value, *, span: Span) -> tree.Argument:
    return tree.Argument(None if name is None else _label(name), value, span=span)


def _wire(*stops: tree.Ref, span: Span) -> tree.Wire:
    return tree.Wire(stops, span=span)


def _becomes(target: tree.Ref, *cases: tree.Case, span: Span) -> tree.Becomes:
    return tree.Becomes(target, cases, span=span)


def _loads(target: tree.Ref, *cases: tree.Case, span: Span) -> tree.Loads:
    return tree.Loads(target, cases, span=span)


def _runs(
    target: tree.Ref, _while: tree.Word, condition: tree.Expression, *, span: Span
) -> tree.Runs:
    return tree.Runs(target, condition, span=span)


def _case(value: tree.Value, condition: tree.Expression | None = None, *, span: Span) -> tree.Case:
    return tree.Case(value, condition, span=span)


def _in(name: tree.Step, *, power: bool, unwired: bool | None = None, span: Span) -> tree.In:
    return tree.In(_declared(name), power, unwired, span=span)


def _in_signal_optional(name: tree.Step, unwired: tree.YesNo | None, *, span: Span) -> tree.In:
    live = unwired is not None and unwired.value
    return tree.In(_declared(name), power=False, unwired=live, span=span)


def _out(name: tree.Step, value: tree.Expression | None, *, power: bool, span: Span) -> tree.Out:
    return tree.Out(_declared(name), power, value, span=span)


def _keep(
    name: tree.Step, kind: tree.Type, start: tree.Expression | None, *, span: Span
) -> tree.Keep:
    return tree.Keep(_declared(name), kind, start, span=span)


def _free(name: tree.Step, kind: tree.Type, *, span: Span) -> tree.Free:
    return tree.Free(_declared(name), kind, span=span)


def _rooms(*names: tree.Word, span: Span) -> tree.Rooms:
    return tree.Rooms(names, span=span)


def _passage(start: tree.Ref, arrow: tree.Word, *rest: object, span: Span) -> tree.Passage:
    end, condition, takes = cast("tuple[tree.Ref, tree.Expression | None, tree.Value | None]", rest)
    return tree.Passage(start, end, arrow.text == "<->", condition, takes, span=span)


def _walker(name: tree.Step, _starts_in: tree.Word, room: tree.Ref, *, span: Span) -> tree.Walker:
    return tree.Walker(_declared(name), room, span=span)


def _one_press(_words: tree.Word, *, span: Span) -> tree.OnePress:
    return tree.OnePress(span=span)


def _starving(_allowed: tree.Word, *parts: tree.Ref, span: Span) -> tree.StarvingAllowed:
    return tree.StarvingAllowed(parts, span=span)


def _claim(
    name: tree.Step, text: tree.Word | None, sentence: tree.Sentence, *, span: Span
) -> tree.Claim:
    return tree.Claim(_declared(name), _text(text), sentence, span=span)


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


def _time(time: tree.Word, *, span: Span) -> tree.Time:
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


_BUILDERS: dict[str, Callable[..., object]] = {
    "file": _file,
    "use": _use,
    "design": partial(_block, is_design=True),
    "kind": partial(_block, is_design=False),
    "body": _several,
    "parameters": _several,
    "parameter": _parameter,
    **{f"type_{one.value}": partial(tree.PlainType, one) for one in tree.Plain},
    "counting_type": tree.CountType,
    "choice_type": _choice_type,
    "tick": _tick,
    "tolerance": _tolerance,
    "setting": tree.Setting,
    "let": _let,
    "for": tree.For,
    "part": _part,
    "arguments": _several,
    "argument": _argument,
    "wire": _wire,
    "drive": tree.Drive,
    "becomes": _becomes,
    "loads": _loads,
    "runs": _runs,
    "case": _case,
    "in_power": partial(_in, power=True),
    "in_power_optional": partial(_in, power=True, unwired=False),
    "in_signal": partial(_in, power=False),
    "in_signal_optional": _in_signal_optional,
    "out_power": partial(_out, power=True),
    "out_signal": partial(_out, power=False),
    "uses": tree.Uses,
    "keep": _keep,
    "free": _free,
    "rooms": _rooms,
    "passage": _passage,
    "walker": _walker,
    "one_press": _one_press,
    "starving": _starving,
    "assume": tree.Assume,
    "claim": _claim,
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
    "time": _time,
    "yes_no": _yes_no,
    "anywhere": tree.Anywhere,
    "counted": _counted,
    "measured": _measured,
    "items": _several,
    "walkers_in": _walkers_in,
    "ref": _ref,
    "head": _head,
    "member": _member,
    "index": _same,
    "word": _word,
}
"""What becomes of each rule (or alternative of a rule) of grammar/design.lark."""
