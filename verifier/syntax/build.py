"""From what the grammar recognised to the nodes of `verifier.syntax.tree`.

The pieces are visited from the leaves up in one loop, so that no text, however deep, can exhaust
the stack. Each rule of grammar/design.lark has one function, here or in `verifier.syntax.phrases`,
called with what its parts have become and with its place.
"""

import re
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import Protocol, cast

from verifier.source.text import Source, Span
from verifier.syntax import tree
from verifier.syntax.phrases import PHRASES, several, span_of_time

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
    return tree.Tick(span_of_time(length, span=length.span), span=span)


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


_BUILDERS: dict[str, Callable[..., object]] = {
    **PHRASES,
    "file": _file,
    "use": _use,
    "design": partial(_block, is_design=True),
    "kind": partial(_block, is_design=False),
    "body": several,
    "parameters": several,
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
    "arguments": several,
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
}
"""By the names of rules, or of their alternatives."""
