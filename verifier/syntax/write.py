"""Writing a tree down: the one layout of a design.

A tree becomes units (a statement, the head of a block, a closing brace), each with its place in the
source; `verifier.syntax.layout` sets them in lines.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import assert_never

from verifier.source.text import Span
from verifier.syntax import spell, tree
from verifier.syntax.layout import WIDTH, Role, Row, laid_out

_SIDE_BY_SIDE = 2


@dataclass(frozen=True, slots=True)
class Unit:
    """A row and what it was read from; for a head, its whole block."""

    span: Span
    row: Row


def write(file: tree.File) -> str:
    """Write a file in the canonical layout, without comments; parsing it gives the same tree."""
    return laid_out(unit.row for unit in units(file))


def units(file: tree.File) -> Iterator[Unit]:
    """Yield what a file is made of, in the order of the text."""
    for use in file.uses:
        yield Unit(use.span, Row(0, f"use {spell.quoted(use.path)}", Role.USE))
    for block in file.blocks:
        yield Unit(block.span, Row(0, _head(block), Role.HEAD))
        yield from _body(block.body, 1)
        yield Unit(_end(block.span), Row(0, "}", Role.END))


def _end(span: Span) -> Span:
    return Span(span.source, max(span.start, span.end - 1), span.end)


def _head(block: tree.Block) -> str:
    parameters = ", ".join(_parameter(one) for one in block.parameters)
    head = f"{'design' if block.is_design else 'kind'} {block.name.text}"
    if parameters:
        head += f"({parameters})"
    if block.text is None:
        return f"{head} {{"
    words = spell.quoted(block.text)
    short = f"{head} {words} {{"
    return short if len(short) <= WIDTH else f"{head}\n  {words}\n{{"


def _parameter(node: tree.Parameter) -> str:
    default = "" if node.default is None else f" = {spell.value(node.default)}"
    return f"{node.name.text}: {spell.type_of(node.type)}{default}"


def _body(body: Iterable[tree.Statement], depth: int) -> Iterator[Unit]:
    for node in body:
        match node:
            case tree.For(name, through, inner):
                head = f"for {name.text} in {spell.row_range(through)} {{"
                yield Unit(node.span, Row(depth, head, Role.HEAD))
                yield from _body(inner, depth + 1)
                yield Unit(_end(node.span), Row(depth, "}", Role.END))
            case tree.Part():
                label = spell.declared(node.name)
                text = f"{label} : {_kind(node)}"
                yield Unit(node.span, Row(depth, text, Role.PART, len(label)))
            case _:
                yield Unit(node.span, Row(depth, _statement(node), Role.STATEMENT))


def _kind(node: tree.Part) -> str:
    if not node.arguments:
        return node.kind.text
    return f"{node.kind.text}({', '.join(_argument(one) for one in node.arguments)})"


def _argument(node: tree.Argument) -> str:
    name = "" if node.name is None else f"{node.name.text}: "
    return f"{name}{spell.value(node.value)}"


_Setup = tree.Tick | tree.Tolerance | tree.Setting | tree.OnePress | tree.StarvingAllowed
_Port = tree.In | tree.Out | tree.Uses
_State = tree.Keep | tree.Free | tree.Becomes | tree.Loads | tree.Runs
_People = tree.Rooms | tree.Passage | tree.Walker
_Flow = tree.Wire | tree.Drive | tree.Let
_Said = tree.Assume | tree.Claim


def _statement(node: _Setup | _Port | _State | _People | _Flow | _Said) -> str:
    match node:
        case (
            tree.Tick()
            | tree.Tolerance()
            | tree.Setting()
            | tree.OnePress()
            | tree.StarvingAllowed()
        ):
            return _setup(node)
        case tree.In() | tree.Out() | tree.Uses():
            return _port(node)
        case tree.Keep() | tree.Free() | tree.Becomes() | tree.Loads() | tree.Runs():
            return _state(node)
        case tree.Rooms() | tree.Passage() | tree.Walker():
            return _people(node)
        case tree.Wire() | tree.Drive() | tree.Let():
            return _flow(node)
        case tree.Assume(sentence):
            return f"assume {spell.sentence(sentence)}"
        case tree.Claim(name, text, sentence):
            words = "" if text is None else f" {spell.quoted(text)}"
            return f"claim {spell.declared(name)}{words}: {spell.sentence(sentence)}"
        case _:
            assert_never(node)


def _setup(node: _Setup) -> str:
    match node:
        case tree.Tick(length):
            return f"tick {spell.expression(length)}"
        case tree.Tolerance(percent):
            return f"tolerance {percent} %"
        case tree.Setting(name, value, tunable):
            more = "" if tunable is None else f" tunable {spell.wide_range(tunable)}"
            return f"setting {name.text} = {spell.value(value)}{more}"
        case tree.OnePress():
            return "one press at a time"
        case tree.StarvingAllowed(parts):
            return f"starving allowed: {', '.join(spell.ref(one) for one in parts)}"
        case _:
            assert_never(node)


def _port(node: _Port) -> str:
    match node:
        case tree.In(name, power, unwired):
            sort = "power" if power else "signal"
            optional = {None: "", False: " optional", True: " optional = yes"}[unwired]
            return f"in  {spell.declared(name)}: {sort}{optional}"
        case tree.Out(name, power, value):
            sort = "power" if power else "signal"
            given = "" if value is None else f" = {spell.expression(value)}"
            return f"out {spell.declared(name)}: {sort}{given}"
        case tree.Uses(number, feed):
            return f"uses {spell.number_of(number)} of {spell.ref(feed)}"
        case _:
            assert_never(node)


def _state(node: _State) -> str:
    match node:
        case tree.Keep(name, sort, start):
            first = "" if start is None else f" = {spell.expression(start)}"
            return f"keep {spell.declared(name)}: {spell.type_of(sort)}{first}"
        case tree.Free(name, sort):
            return f"free {spell.declared(name)}: {spell.type_of(sort)}"
        case tree.Becomes(target, cases):
            return f"{spell.ref(target)} becomes{_cases(cases)}"
        case tree.Loads(target, cases):
            return f"{spell.ref(target)} loads{_cases(cases)}"
        case tree.Runs(target, condition):
            return f"{spell.ref(target)} runs while {spell.condition(condition)}"
        case _:
            assert_never(node)


def _cases(cases: tuple[tree.Case, ...]) -> str:
    """Write up to two cases side by side, more below each other."""
    told = [_case(one.value, one.condition) for one in cases]
    return " " + ", ".join(told) if len(told) <= _SIDE_BY_SIDE else "\n  " + ",\n  ".join(told)


def _case(value: tree.Value, condition: tree.Expression | None) -> str:
    if condition is None:
        return spell.value(value)
    if isinstance(value, tree.Range):
        return f"{spell.wide_range(value)} when {spell.condition(condition)}"
    return f"{spell.condition(value)} when {spell.condition(condition)}"


def _people(node: _People) -> str:
    match node:
        case tree.Rooms(names):
            return f"rooms {', '.join(one.text for one in names)}"
        case tree.Passage():
            arrow = "<->" if node.both_ways else "->"
            when = "" if node.condition is None else f" when {spell.condition(node.condition)}"
            takes = "" if node.takes is None else f" takes {_span(node.takes)}"
            return f"passage {spell.ref(node.start)} {arrow} {spell.ref(node.end)}{when}{takes}"
        case tree.Walker(name, room):
            return f"walker {spell.declared(name)} starts in {spell.ref(room)}"
        case _:
            assert_never(node)


def _span(node: tree.Value) -> str:
    if isinstance(node, tree.Range):
        return spell.wide_range(node)
    return spell.expression(node, spell.SUM)


def _flow(node: _Flow) -> str:
    match node:
        case tree.Wire(stops):
            return " -> ".join(spell.ref(one) for one in stops)
        case tree.Drive(target, condition):
            return f"{spell.ref(target)} when {spell.condition(condition)}"
        case tree.Let(name, value):
            return f"let {spell.declared(name)} = {spell.expression(value)}"
        case _:
            assert_never(node)
