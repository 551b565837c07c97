"""Works out lets, settings and parameters when they are first asked for, and finds circles."""

from typing import assert_never

from verifier.design import express, wording
from verifier.design.express import Site
from verifier.design.model import Choice, Fixed, Flag, Net, Number, Option, Role, Truth
from verifier.design.scope import AlreadyTold, LetEntry, Mistake, ValueEntry
from verifier.design.values import (
    ChoiceValue,
    FlagValue,
    NumberValue,
    PartValue,
    RoomValue,
    TimerValue,
    TimeValue,
    Value,
)
from verifier.source.text import Span
from verifier.syntax import tree


def let_value(entry: LetEntry, asked: Span) -> Value:
    """Return what a `let` names: constants as they are, all else by a net of its own."""
    if entry.broken:
        raise AlreadyTold
    if entry.busy:
        entry.broken = True
        raise Mistake(wording.circle(entry.span, entry.path, asked))
    if entry.value is None:
        entry.busy = True
        try:
            entry.value = _work_out(entry)
        except (Mistake, AlreadyTold):
            entry.broken = True
            raise
        finally:
            entry.busy = False
    return entry.value


def _work_out(entry: LetEntry) -> Value:
    assert entry.node is not None
    value = express.evaluate(entry.node, Site(entry.scope, entry.env))
    match value:
        case PartValue():
            value = FlagValue(express.as_condition(value, entry.node))
        case FlagValue() | NumberValue() | ChoiceValue():
            pass
        case TimeValue() | RoomValue() | TimerValue():
            return value
        case _:
            raise Mistake(wording.cannot_name(entry.node.span, value))
    net = let_net(entry, value)
    entry.scope.whole.lets[entry] = net
    if isinstance(value.term, Truth | Fixed | Option):
        return value
    from verifier.design.lookup import of_net

    return of_net(net)


def let_net(entry: LetEntry, value: FlagValue | NumberValue | ChoiceValue) -> Net:
    """Make the net of a `let`; the range of a number is worked out later, from all terms."""
    match value:
        case FlagValue():
            shape: Flag | Number | Choice = Flag()
        case NumberValue():
            shape = Number(0, 0, units=False)
        case ChoiceValue():
            shape = Choice(value.options)
        case _:
            assert_never(value)
    part = entry.scope.path
    return Net(entry.path, shape, entry.span, Role.LET, part, term=value.term)


def setting_value(entry: ValueEntry, asked: Span) -> Value:
    """Return the value of a setting or parameter."""
    entry.used = True
    if entry.broken:
        raise AlreadyTold
    if entry.busy:
        entry.broken = True
        raise Mistake(wording.circle(entry.span, entry.path, asked))
    if entry.value is None:
        entry.busy = True
        try:
            entry.value = _fixed_value(entry)
        except (Mistake, AlreadyTold):
            entry.broken = True
            raise
        finally:
            entry.busy = False
    return entry.value


def _fixed_value(entry: ValueEntry) -> Value:
    if entry.node is None:
        raise AlreadyTold
    site = Site(entry.home, entry.env)
    options = None
    if isinstance(entry.type, tree.ChoiceType):
        options = tuple(word.text for word in entry.type.options)
    value = express.evaluate(entry.node, site, options)
    if not is_fixed(value):
        what = "a setting" if entry.is_setting else f"the parameter `{entry.name}`"
        raise Mistake(wording.not_fixed(entry.node.span, what))
    if isinstance(value, TimeValue):
        value = TimeValue(value.low, value.high, entry.node.span)
    if entry.type is not None:
        _meets(entry, value, entry.type)
    return value


def is_fixed(value: Value) -> bool:
    """Whether a value is a constant."""
    match value:
        case TimeValue() | RoomValue():
            return True
        case NumberValue() | FlagValue() | ChoiceValue():
            return value.fixed is not None
        case _:
            return False


def _meets(entry: ValueEntry, value: Value, wanted: tree.Type) -> None:
    """Check a parameter's value against its type."""
    assert entry.node is not None
    expected = _WANTED.get(wanted.plain) if isinstance(wanted, tree.PlainType) else None
    match wanted:
        case tree.ChoiceType():
            fits, name = isinstance(value, ChoiceValue), "one of its options"
        case tree.CountType():
            fits, name = isinstance(value, NumberValue), "a count"
        case _:
            assert expected is not None
            fits, name = isinstance(value, expected[0]), expected[1]
    if not fits:
        raise Mistake(wording.wrong_argument(entry.node.span, entry.name, name, value))


_WANTED: dict[tree.Plain, tuple[type[Value], str]] = {
    tree.Plain.TIME: (TimeValue, "a time"),
    tree.Plain.UNITS: (NumberValue, "a number of units"),
    tree.Plain.COUNT: (NumberValue, "a whole number"),
    tree.Plain.FLAG: (FlagValue, "`yes` or `no`"),
    tree.Plain.SIGNAL: (FlagValue, "`yes` or `no`"),
    tree.Plain.ROOM: (RoomValue, "a room"),
}
