"""Works out what an expression means where it stands: names looked up, types and units checked."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar, assert_never

from verifier.design import terms, wording
from verifier.design.coerce import as_condition, as_number, ticks, time_range
from verifier.design.lookup import look_up, of_net
from verifier.design.model import (
    Choice,
    Cond,
    Fixed,
    Flag,
    HowMany,
    Net,
    Num,
    Number,
    Option,
    Role,
    Running,
    Truth,
)
from verifier.design.model import Edge as EdgeTerm
from verifier.design.operators import COMPARISONS, bends, compared, copies, joined
from verifier.design.people import between, in_room
from verifier.design.scope import AlreadyTold, LetEntry, Mistake, Scope, ValueEntry
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
    site.scope.whole.count(node.span)
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


def _name(node: tree.Ref, site: Site, options: tuple[str, ...] | None) -> Value:
    if options is not None and len(node.steps) == 1 and node.steps[0].index is None:
        name = node.steps[0].name
        if name in options:
            return ChoiceValue(Option(options.index(name)), options)
        value = _reads_as_choice(node, site)
        if value is not None:
            return value
        raise Mistake(wording.other_option(node.span, name, options))
    return value_of(look_up(node, site, whole_number), node)


def _reads_as_choice(node: tree.Ref, site: Site) -> Value | None:
    if node.steps[0].name not in site.scope.names:
        return None
    value = value_of(look_up(node, site, whole_number), node)
    return value if isinstance(value, ChoiceValue) else None


def value_of(found: Value | LetEntry | ValueEntry, node: tree.Node) -> Value:
    """Finish a look-up: lets, settings and parameters are worked out the first time."""
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
        case ChoiceValue(one_pick, names), ChoiceValue(two_pick, others):
            if names != others:
                raise Mistake(wording.mixed_choices(node.span, names, others))
            return ChoiceValue(terms.pick_if(when, one_pick, two_pick), names)
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
        value = value_of(look_up(node.walker, site, whole_number), node.walker)
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
    left, right = _both_sides(node, site)
    site.scope.whole.count(node.span, copies(node, left, right))
    site.scope.whole.pinned |= bends(node, left, right)
    if node.operator in COMPARISONS:
        return FlagValue(compared(node, left, right, site.tick))
    return joined(node, left, right)


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

            site.scope.whole.count(item.span, len(value.items))
            found += [(value_of(of_entry(one, item.span), item), item) for one in value.items]
        else:
            found.append((value, item))
    return found


# --- what places ask for -------------------------------------------------------------------------


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
    return ticks(fixed_time(node, site), node, site.tick)


def warn_if_exact(span: TimeValue, path: str, site: Site, *, turned: bool) -> None:
    """Warn of a span that the tolerance of the design does not widen, as it would any other.

    A timer shows one value when a run begins, and one that is `turned` over shows what follows from
    its span and what it showed: nothing is drawn there.
    """
    if site.scope.whole.percent and span.high > site.tick:
        site.scope.whole.collector.add(wording.exact_span(span.span, path, turned=turned))


# --- lets and settings, worked out when they are first asked for ----------------------------------


Lazy = TypeVar("Lazy", LetEntry, ValueEntry)


def let_value(entry: LetEntry, asked: Span) -> Value:
    """Return what a `let` names: constants as they are, all else by a net of its own."""
    return _once(entry, asked, _work_out)


def setting_value(entry: ValueEntry, asked: Span) -> Value:
    """Return the value of a setting or parameter."""
    entry.used = True
    return _once(entry, asked, _fixed_value)


def _once(entry: Lazy, asked: Span, work: Callable[[Lazy], Value]) -> Value:
    """Work an entry out the first time; what asks for itself meanwhile goes round in a circle."""
    if entry.broken:
        raise AlreadyTold
    if entry.busy:
        entry.broken = True
        raise Mistake(wording.circle(entry.span, entry.path, asked))
    if entry.value is None:
        entry.busy = True
        try:
            entry.value = work(entry)
        except (Mistake, AlreadyTold):
            entry.broken = True
            raise
        finally:
            entry.busy = False
    return entry.value


def _work_out(entry: LetEntry) -> Value:
    assert entry.node is not None
    value = evaluate(entry.node, Site(entry.scope, entry.env))
    match value:
        case PartValue():
            value = FlagValue(as_condition(value, entry.node))
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


def _fixed_value(entry: ValueEntry) -> Value:
    if entry.node is None:
        raise AlreadyTold
    site = Site(entry.home, entry.env)
    options = options_of(entry.type) if isinstance(entry.type, tree.ChoiceType) else None
    value = evaluate(entry.node, site, options)
    if not is_fixed(value):
        what = "a setting" if entry.is_setting else f"the parameter `{entry.name}`"
        raise Mistake(wording.not_fixed(entry.node.span, what))
    if isinstance(value, TimeValue):
        own = frozenset() if entry.scope.above is not None else frozenset((entry.name,))
        value = TimeValue(value.low, value.high, entry.node.span, value.moved_by | own)
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


def options_of(node: tree.ChoiceType) -> tuple[str, ...]:
    """Return the names of the options of a choice, each of which may be given once."""
    first: dict[str, tree.Word] = {}
    for word in node.options:
        if word.text in first:
            raise Mistake(wording.twice(word.span, word.text, first[word.text].span))
        first[word.text] = word
    return tuple(first)


def limits_of(node: tree.CountType, site: Site) -> tuple[int, int]:
    """Return the least and the largest value of a count."""
    low, high = whole_number(node.range.low, site), whole_number(node.range.high, site)
    if high < low:
        raise Mistake(wording.range_backward(node.range.span))
    return low, high


def _meets(entry: ValueEntry, value: Value, wanted: tree.Type) -> None:
    """Check a parameter's value against its type, with all that the type says of it."""
    assert entry.node is not None
    span = entry.node.span
    match wanted, value:
        case tree.ChoiceType(), ChoiceValue(_, options):
            if options != options_of(wanted):
                raise Mistake(wording.mixed_choices(span, options_of(wanted), options))
        case tree.CountType(), NumberValue(Fixed(number)):
            limits = limits_of(wanted, Site(entry.scope, Env()))
            if not limits[0] <= number <= limits[1]:
                told = (entry.name, number, limits, wanted.range.span)
                raise Mistake(wording.argument_out_of_range(span, *told))
        case tree.PlainType(tree.Plain.UNITS), NumberValue(Fixed(number)):
            if number < 0:
                raise Mistake(wording.negative_number(span, f"the units of `{entry.name}`"))
        case tree.PlainType(tree.Plain.POWER | tree.Plain.TIMER), _:
            raise Mistake(wording.no_power_parameter(wanted.span))
        case _:
            _is_of_type(entry, value, wanted)


def _is_of_type(entry: ValueEntry, value: Value, wanted: tree.Type) -> None:
    assert entry.node is not None
    match wanted:
        case tree.ChoiceType():
            expected: tuple[type[Value], str] = (ChoiceValue, "one of its options")
        case tree.CountType():
            expected = (NumberValue, "a count")
        case tree.PlainType(plain):
            expected = _WANTED[plain]
        case _:
            assert_never(wanted)
    if not isinstance(value, expected[0]):
        raise Mistake(wording.wrong_argument(entry.node.span, entry.name, expected[1], value))


_WANTED: dict[tree.Plain, tuple[type[Value], str]] = {
    tree.Plain.TIME: (TimeValue, "a time"),
    tree.Plain.UNITS: (NumberValue, "a number of units"),
    tree.Plain.COUNT: (NumberValue, "a whole number"),
    tree.Plain.FLAG: (FlagValue, "`yes` or `no`"),
    tree.Plain.SIGNAL: (FlagValue, "`yes` or `no`"),
    tree.Plain.ROOM: (RoomValue, "a room"),
}
