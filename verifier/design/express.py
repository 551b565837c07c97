"""Works out what an expression means where it stands: names looked up, types and units checked."""

from dataclasses import dataclass
from typing import assert_never

from verifier.design import terms, wording
from verifier.design.lookup import look_up
from verifier.design.model import (
    Cond,
    Fixed,
    Fold,
    HowMany,
    Live,
    Num,
    Option,
    Running,
)
from verifier.design.model import Edge as EdgeTerm
from verifier.design.people import between, in_room
from verifier.design.scope import LetEntry, Mistake, PortEntry, Scope, ValueEntry
from verifier.design.values import (
    ChoiceValue,
    Env,
    FlagValue,
    NumberValue,
    PartValue,
    RoomValue,
    RowValue,
    TimerValue,
    TimeValue,
    Value,
    WalkerValue,
)
from verifier.source.text import Span
from verifier.syntax import tree
from verifier.syntax.tree import Operator

_NS = {"ms": 1_000_000, "s": 1_000_000_000, "min": 60_000_000_000, "h": 3_600_000_000_000}
_COMPARISONS = {
    Operator.EQUAL,
    Operator.DIFFERS,
    Operator.LESS,
    Operator.LESS_EQUAL,
    Operator.MORE,
    Operator.MORE_EQUAL,
    Operator.IS,
    Operator.IS_NOT,
}
_EQUALITIES = {Operator.EQUAL, Operator.DIFFERS, Operator.IS, Operator.IS_NOT}
_NEGATED = {Operator.DIFFERS, Operator.IS_NOT}
_FOLDS = {Operator.TIMES: Fold.TIMES, Operator.DIV: Fold.DIV, Operator.MOD: Fold.MOD}
_FLIPPED = {
    Operator.LESS: Operator.MORE,
    Operator.LESS_EQUAL: Operator.MORE_EQUAL,
    Operator.MORE: Operator.LESS,
    Operator.MORE_EQUAL: Operator.LESS_EQUAL,
}


@dataclass(frozen=True, slots=True)
class Site:
    """Where an expression stands: a scope, and the loop names above it."""

    scope: Scope
    env: Env

    @property
    def tick(self) -> int:
        """The length of a tick in nanoseconds."""
        return self.scope.whole.tick_ns


def evaluate(  # noqa: C901 - one case a node
    node: tree.Value, site: Site, options: tuple[str, ...] | None = None
) -> Value:
    """Return the meaning of an expression; beside a choice, `options` are what names may mean.

    Raises Mistake where the expression has none.
    """
    match node:
        case tree.Number(value):
            return NumberValue(Fixed(value))
        case tree.Time(value, unit):
            size = site.tick if unit.startswith("tick") else _NS[unit]
            return TimeValue(value * size, value * size, node.span)
        case tree.YesNo(value):
            return FlagValue(terms.YES if value else terms.NO)
        case tree.Anywhere():
            return RoomValue(None, "anywhere")
        case tree.Ref():
            return _name(node, site, options)
        case tree.Binary():
            return _binary(node, site)
        case tree.Not(inner):
            return FlagValue(terms.negate(condition(inner, site)))
        case tree.Edge():
            return _edge(node, site)
        case tree.Choose():
            return _choose(node, site, options)
        case tree.Tally():
            return _tally(node, site)
        case tree.InRoom() | tree.Between():
            return _whereabouts(node, site)
        case tree.WalkersIn(room):
            where = room_of(room, site).room
            walkers = site.scope.whole.walkers
            return NumberValue(HowMany(tuple(in_room(one, where) for one in walkers)))
        case tree.Range(low, high):
            return time_range(node, fixed_time(low, site), fixed_time(high, site))
        case _:
            assert_never(node)


def time_range(node: tree.Node, low: TimeValue, high: TimeValue) -> TimeValue:
    """Join two times into a range; Mistake where they stand the wrong way round."""
    if low.low > high.high:
        raise Mistake(wording.range_backward(node.span))
    return TimeValue(low.low, high.high, node.span)


def _name(node: tree.Ref, site: Site, options: tuple[str, ...] | None) -> Value:
    if options is not None and len(node.steps) == 1 and node.steps[0].index is None:
        name = node.steps[0].name
        if name in options:
            return ChoiceValue(Option(options.index(name)), options)
        value = _reads_as_choice(node, site)
        if value is not None:
            return value
        raise Mistake(wording.other_option(node.span, name, options))
    return value_of(look_up(node, site, whole_number), node, site)


def _reads_as_choice(node: tree.Ref, site: Site) -> Value | None:
    if node.steps[0].name not in site.scope.names:
        return None
    value = value_of(look_up(node, site, whole_number), node, site)
    return value if isinstance(value, ChoiceValue) else None


def value_of(found: "Value | LetEntry | ValueEntry", node: tree.Node, site: Site) -> Value:
    """Finish a look-up: lets, settings and parameters are worked out the first time."""
    from verifier.design.lazily import let_value, setting_value

    match found:
        case LetEntry():
            return let_value(found, node.span)
        case ValueEntry():
            return setting_value(found, node.span)
        case _:
            return found


# --- conditions ----------------------------------------------------------------------------------


def condition(node: tree.Expression, site: Site) -> Cond:
    """Return an expression as a condition; a part's name means that its main output is live."""
    return as_condition(evaluate(node, site), node)


def as_condition(value: Value, node: tree.Node) -> Cond:
    """Return a value as a condition, or raise the Mistake that says why it is none."""
    match value:
        case FlagValue(term):
            return term
        case PartValue(inside):
            port = main_output(inside, node)
            return terms.some(port.net) if port.net.power else Live(port.net)
        case _:
            raise Mistake(wording.no_condition(node.span, value))


def main_output(inside: Scope, node: tree.Node) -> PortEntry:
    """Return the first output of a part, or raise the Mistake that it has none."""
    outputs = inside.ports(inputs=False)
    if not outputs:
        readable = [one.name for one in inside.entries() if isinstance(one, LetEntry)]
        raise Mistake(wording.no_main_output(node.span, inside.path, readable))
    return outputs[0]


def _edge(node: tree.Edge, site: Site) -> Value:
    value = evaluate(node.inner, site)
    if isinstance(value, TimerValue):
        if node.rising:
            raise Mistake(wording.timer_starts(node.span))
        timer = value.timer
        last = (terms.above(timer, 0), terms.negate(terms.above(timer, 1)), Running(timer))
        return FlagValue(terms.all_of(last))
    return FlagValue(EdgeTerm(as_condition(value, node.inner), node.rising))


def _choose(node: tree.Choose, site: Site, options: tuple[str, ...] | None) -> Value:
    when = condition(node.condition, site)
    then = evaluate(node.then, site, options)
    if options is None and isinstance(then, ChoiceValue):
        options = then.options
    other = evaluate(node.other, site, options)
    match then, other:
        case NumberValue(one), NumberValue(two):
            return NumberValue(terms.num_if(when, one, two))
        case ChoiceValue(one_pick), ChoiceValue(two_pick):
            return ChoiceValue(terms.pick_if(when, one_pick, two_pick), then.options)
        case (TimeValue(), TimeValue()) | (RoomValue(), RoomValue()):
            if not isinstance(when, type(terms.YES)):
                raise Mistake(wording.not_fixed(node.condition.span, "a condition here"))
            return then if when == terms.YES else other
        case _:
            one_cond, two_cond = as_condition(then, node.then), as_condition(other, node.other)
            return FlagValue(terms.cond_if(when, one_cond, two_cond))


def _whereabouts(node: tree.InRoom | tree.Between, site: Site) -> Value:
    walkers = site.scope.whole.walkers
    if node.walker is not None:
        value = value_of(look_up(node.walker, site, whole_number), node.walker, site)
        if not isinstance(value, WalkerValue):
            raise Mistake(wording.wrong_type(node.walker.span, "a walker", value))
        walkers = [value.walker]
    if isinstance(node, tree.InRoom):
        room = room_of(node.room, site).room
        there = terms.YES if room is None else terms.any_of(in_room(one, room) for one in walkers)
    else:
        one, other = room_of(node.one, site).room, room_of(node.other, site).room
        there = terms.any_of(between(walker, one, other) for walker in walkers)
    return FlagValue(terms.negate(there) if node.negated else there)


def room_of(node: tree.Ref, site: Site) -> RoomValue:
    """Return the room that a name means."""
    value = evaluate(node, site)
    if not isinstance(value, RoomValue):
        raise Mistake(wording.wrong_type(node.span, "a room", value))
    return value


# --- operators -----------------------------------------------------------------------------------


def _binary(node: tree.Binary, site: Site) -> Value:
    if node.operator in {Operator.AND, Operator.OR}:
        parts = (condition(node.left, site), condition(node.right, site))
        join = terms.all_of if node.operator is Operator.AND else terms.any_of
        return FlagValue(join(parts))
    if node.operator in _COMPARISONS:
        return FlagValue(_comparison(node, site))
    return _arithmetic(node, site)


def _comparison(node: tree.Binary, site: Site) -> Cond:
    left, right = _both_sides(node, site)
    match left, right:
        case NumberValue(one), NumberValue(other):
            return terms.related(node.operator, one, other)
        case TimerValue(timer), TimeValue():
            return terms.timer_related(node.operator, timer, ticks(right, node.right, site))
        case TimeValue(), TimerValue(timer):
            flipped = _FLIPPED.get(node.operator, node.operator)
            return terms.timer_related(flipped, timer, ticks(left, node.left, site))
        case TimeValue(one_low, one_high), TimeValue(low, high) if one_low == one_high:
            if low != high:
                raise Mistake(wording.not_fixed(node.right.span, "a single time"))
            return terms.related(node.operator, Fixed(one_low), Fixed(low))
        case _ if node.operator in _EQUALITIES:
            same = _same(node, left, right)
            return terms.negate(same) if node.operator in _NEGATED else same
        case _:
            raise Mistake(wording.not_comparable(node.span, node.operator, left, right))


def _same(node: tree.Binary, left: Value, right: Value) -> Cond:
    match left, right:
        case ChoiceValue(one, options), ChoiceValue(other, others):
            if options != others:
                raise Mistake(wording.other_choice(node.span, options, others))
            each = range(len(options))
            both = ((terms.picked(one, i), terms.picked(other, i)) for i in each)
            return terms.any_of(terms.all_of(pair) for pair in both)
        case FlagValue() | PartValue(), FlagValue() | PartValue():
            one_cond, other_cond = as_condition(left, node.left), as_condition(right, node.right)
            return terms.cond_if(one_cond, other_cond, terms.negate(other_cond))
        case RoomValue(one_room), RoomValue(other_room):
            return terms.YES if one_room == other_room else terms.NO
        case _:
            raise Mistake(wording.not_comparable(node.span, node.operator, left, right))


def _both_sides(node: tree.Binary, site: Site) -> tuple[Value, Value]:
    """Evaluate both sides; beside a choice a bare name means one of its options."""
    if _bare(node.left) and not _known(node.left, site):
        right = evaluate(node.right, site)
        if isinstance(right, ChoiceValue):
            return evaluate(node.left, site, right.options), right
    left = evaluate(node.left, site)
    if isinstance(left, ChoiceValue):
        return left, evaluate(node.right, site, left.options)
    return left, evaluate(node.right, site)


def _bare(node: tree.Expression) -> bool:
    return isinstance(node, tree.Ref) and len(node.steps) == 1 and node.steps[0].index is None


def _known(node: tree.Expression, site: Site) -> bool:
    if not isinstance(node, tree.Ref):
        return True
    name = node.steps[0].name
    return name in site.scope.names or name in site.env.loops


def _arithmetic(node: tree.Binary, site: Site) -> Value:
    left, right = evaluate(node.left, site), evaluate(node.right, site)
    match left, right:
        case NumberValue(one), NumberValue(other):
            return NumberValue(_numbers(node, one, other))
        case TimeValue(), TimeValue() if node.operator in {Operator.PLUS, Operator.MINUS}:
            sign = 1 if node.operator is Operator.PLUS else -1
            ends = (left.low + sign * right.low, left.high + sign * right.high)
            return _time(node, min(ends), max(ends))
        case TimeValue(low, high), NumberValue() if node.operator is Operator.TIMES:
            by = _factor(right, node.right)
            return _time(node, low * by, high * by)
        case NumberValue(), TimeValue(low, high) if node.operator is Operator.TIMES:
            by = _factor(left, node.left)
            return _time(node, low * by, high * by)
        case TimeValue(low, high), NumberValue() if node.operator is Operator.DIV:
            by = _factor(right, node.right)
            if by < 1:
                raise Mistake(wording.bad_divisor(node.right.span))
            return _time(node, low // by, high // by)
        case _:
            raise Mistake(wording.cannot_join(node.span, node.operator, left, right))


def _time(node: tree.Node, low: int, high: int) -> Value:
    if low < 0:
        raise Mistake(wording.negative_time(node.span))
    return TimeValue(low, high, node.span)


def _factor(value: NumberValue, node: tree.Node) -> int:
    if value.fixed is None:
        raise Mistake(wording.not_fixed(node.span, "the number"))
    return value.fixed


def _numbers(node: tree.Binary, left: Num, right: Num) -> Num:
    match node.operator, left, right:
        case Operator.PLUS, _, _:
            return terms.add(left, right)
        case Operator.MINUS, _, _:
            return terms.subtract(left, right)
        case Operator.TIMES, _, Fixed(by):
            return terms.scaled(Fold.TIMES, left, by)
        case Operator.TIMES, Fixed(by), _:
            return terms.scaled(Fold.TIMES, right, by)
        case Operator.DIV | Operator.MOD, _, Fixed(by):
            if by < 1:
                raise Mistake(wording.bad_divisor(node.right.span))
            return terms.scaled(_FOLDS[node.operator], left, by)
        case _:
            raise Mistake(wording.not_fixed(node.right.span, "the second number"))


# --- lists ---------------------------------------------------------------------------------------


def _tally(node: tree.Tally, site: Site) -> Value:
    values = list(_items(node, site))
    if node.measure is tree.Measure.SUM:
        total: Num = Fixed(0)
        for value, item in values:
            total = terms.add(total, as_number(value, item))
        return NumberValue(total)
    conditions = tuple(as_condition(value, item) for value, item in values)
    match node.measure:
        case tree.Measure.ALL:
            return FlagValue(terms.all_of(conditions))
        case tree.Measure.ANY:
            return FlagValue(terms.any_of(conditions))
        case tree.Measure.NONE:
            return FlagValue(terms.negate(terms.any_of(conditions)))
        case _:
            operator = {
                tree.Measure.AT_MOST: Operator.LESS_EQUAL,
                tree.Measure.AT_LEAST: Operator.MORE_EQUAL,
            }.get(node.measure, Operator.EQUAL)
            number = Fixed(0 if node.number is None else whole_number(node.number, site))
            return FlagValue(terms.related(operator, HowMany(conditions), number))


def _items(node: tree.Tally, site: Site) -> list[tuple[Value, tree.Node]]:
    found: list[tuple[Value, tree.Node]] = []
    for item in node.items:
        value = evaluate(item, site)
        if isinstance(value, RowValue):
            from verifier.design.lookup import of_entry

            found += [(value_of(of_entry(one), item, site), item) for one in value.items]
        else:
            found.append((value, item))
    return found


# --- what places ask for -------------------------------------------------------------------------


def as_number(value: Value, node: tree.Node) -> Num:
    """Return a value as a number; a condition counts as 0 or 1."""
    match value:
        case NumberValue(term):
            return term
        case FlagValue() | PartValue():
            return HowMany((as_condition(value, node),))
        case _:
            raise Mistake(wording.wrong_type(node.span, "a number", value))


def number(node: tree.Expression, site: Site) -> Num:
    """Return an expression as a number."""
    value = evaluate(node, site)
    if not isinstance(value, NumberValue):
        raise Mistake(wording.wrong_type(node.span, "a number", value))
    return value.term


def whole_number(node: tree.Expression, site: Site) -> int:
    """Return an expression as a constant whole number."""
    value = evaluate(node, site)
    if not isinstance(value, NumberValue):
        raise Mistake(wording.wrong_type(node.span, "a whole number", value))
    if value.fixed is None:
        raise Mistake(wording.not_fixed(node.span, "a number here"))
    return value.fixed


def time(node: tree.Value, site: Site) -> TimeValue:
    """Return an expression as a time or a range of times."""
    value = evaluate(node, site)
    if not isinstance(value, TimeValue):
        raise Mistake(wording.wrong_type(node.span, "a time", value))
    return value


def fixed_time(node: tree.Expression, site: Site) -> TimeValue:
    """Return an expression as a single time."""
    value = time(node, site)
    if value.low != value.high:
        raise Mistake(wording.not_fixed(node.span, "a single time"))
    return value


def fixed_ticks(node: tree.Expression, site: Site) -> int:
    """Return an expression as a whole number of ticks."""
    return ticks(fixed_time(node, site), node, site)


def ticks(value: TimeValue, node: tree.Node, site: Site) -> int:
    """Return a single time in ticks; Mistake where it is no whole number of them."""
    if value.low != value.high:
        raise Mistake(wording.not_fixed(node.span, "a single time"))
    return tick_count(value.low, value.span, site)


def tick_count(ns: int, span: Span, site: Site) -> int:
    """Return nanoseconds in ticks; Mistake where they are no whole number of ticks."""
    if ns % site.tick:
        raise Mistake(wording.off_tick(span, ns, site.tick))
    return ns // site.tick
