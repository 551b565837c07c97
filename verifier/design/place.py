"""Places blocks: declares their names, unfolds rows and loops, and places their parts in turn."""

from collections.abc import Iterator, Sequence
from typing import assert_never

from verifier.design import express, wording
from verifier.design.express import Site
from verifier.design.model import BuiltIn, Choice, Flag, Free, Net, Number, Role, Shape, Timer
from verifier.design.scope import (
    AlreadyTold,
    BrokenEntry,
    ClaimEntry,
    Entry,
    FreeEntry,
    KeptEntry,
    LetEntry,
    Mistake,
    PartEntry,
    Placed,
    PortEntry,
    RoomEntry,
    Row,
    Scope,
    TimerEntry,
    TooLarge,
    Unit,
    ValueEntry,
    WalkerEntry,
    Whole,
    telling,
)
from verifier.design.values import ChoiceValue, Env, FlagValue
from verifier.syntax import tree

MOST_NAMES = 50_000
"""No more names than this in one design, all parts together (`too-many`)."""

DEEPEST_KINDS = 100
"""No kinds placed inside each other deeper than this (`too-deep`)."""

LONGEST_ROW = 10_000
"""No row and no loop longer than this."""

MOST_VALUES = 1_000
"""No count and no choice with more values than this."""

_KIND_ONLY = (tree.In, tree.Out, tree.Uses)
_DESIGN_ONLY = (
    tree.Tick,
    tree.Tolerance,
    tree.Rooms,
    tree.Passage,
    tree.Walker,
    tree.OnePress,
    tree.Claim,
    tree.StarvingAllowed,
)
_BUILT_IN = {one.value for one in BuiltIn}
_TOP_ONLY = (tree.Tick, tree.Tolerance, tree.Rooms, tree.OnePress, tree.Uses)


def place(scope: Scope) -> None:
    """Fill a scope whose parameters are bound: all its names, then its parts and theirs."""
    whole = scope.whole
    whole.scopes.append(scope)
    body = scope.block.body
    declare(scope, [one for one in body if isinstance(one, tree.Setting)], Env())
    declare(scope, [one for one in body if not isinstance(one, tree.Setting | tree.For)], Env())
    for one in body:
        if isinstance(one, tree.For):
            with telling(whole.collector):
                _unfold(scope, one, Env())
    for entry in list(scope.entries()):
        if isinstance(entry, PartEntry):
            with telling(whole.collector):
                _place_part(entry)
            entry.failed = entry.inside is None


def _unfold(scope: Scope, loop: tree.For, env: Env) -> None:
    name = loop.name.text
    if name in scope.names or name in env.loops:
        raise Mistake(wording.shadow(loop.name.span, name))
    site = Site(scope, env)
    first = express.whole_number(loop.range.low, site)
    last = express.whole_number(loop.range.high, site)
    _check_length(loop.range, first, last)
    inner = [one for one in loop.body if not isinstance(one, tree.For)]
    for number in range(first, last + 1):
        scope.whole.count(loop.name.span)
        under = env.with_loop(name, number)
        declare(scope, inner, under, looped=True)
        for one in loop.body:
            if isinstance(one, tree.For):
                _unfold(scope, one, under)
    if name in scope.names:
        raise Mistake(wording.shadow(loop.name.span, name))


def _check_length(node: tree.Range, first: int, last: int) -> None:
    if last < first - 1:
        raise Mistake(wording.range_backward(node.span))
    if last - first + 1 > LONGEST_ROW:
        raise Mistake(wording.too_many(node.span, "a row or a loop", LONGEST_ROW))


def declare(
    scope: Scope, statements: Sequence[tree.Statement], env: Env, *, looped: bool = False
) -> None:
    """Give names to what statements declare, and keep the statements for later passes."""
    for statement in statements:
        done = False
        with telling(scope.whole.collector):
            _declare(scope, statement, env, looped=looped)
            done = True
        if not done:
            _break(scope, statement, env)


def _break(scope: Scope, statement: tree.Statement, env: Env) -> None:
    """Take the name of what could not be declared, so that its uses are not told as well."""
    name = getattr(statement, "name", None)
    match name:
        case tree.Declared(name=text) | tree.Word(text=text) if text not in scope.names:
            scope.names[text] = BrokenEntry(text, None, name.span, scope, env)
        case _:
            pass


def _declare(scope: Scope, statement: tree.Statement, env: Env, *, looped: bool) -> None:
    is_design = scope.block.is_design
    if isinstance(statement, _KIND_ONLY if is_design else _DESIGN_ONLY):
        where = "design" if is_design else "kind"
        raise Mistake(wording.wrong_place(statement.span, where))
    if looped and isinstance(statement, _TOP_ONLY):
        raise Mistake(wording.wrong_place(statement.span, "loop"))
    scope.whole.count(statement.span)
    scope.statements.append(Placed(statement, env))
    match statement:
        case tree.Setting(name, value, tunable):
            wished = scope.wished.get(name.text, value)
            entry = ValueEntry(name.text, None, name.span, scope, env, wished, scope)
            entry.tunable, entry.is_setting = tunable, True
            add(scope, entry)
        case tree.Rooms(names):
            for word in names:
                room = RoomEntry(word.text, None, word.span, scope, env, len(scope.whole.rooms))
                add(scope, room)
                scope.whole.rooms.append(room)
        case (
            tree.Part(name)
            | tree.Let(name)
            | tree.Keep(name)
            | tree.Free(name)
            | tree.In(name)
            | tree.Out(name)
            | tree.Walker(name)
            | tree.Claim(name)
        ):
            for index in indices(name, Site(scope, env)):
                add(scope, _entry(statement, name, index, Site(scope, env)))
        case _:
            pass


def indices(name: tree.Declared, site: Site) -> Iterator[int | None]:
    """Yield the indices that a declaration stands for; None where it has none."""
    match name.index:
        case None:
            yield None
        case tree.Range(low, high):
            first, last = express.whole_number(low, site), express.whole_number(high, site)
            _check_length(name.index, first, last)
            yield from range(first, last + 1)
        case expression:
            yield express.whole_number(expression, site)


def add(scope: Scope, entry: Entry) -> None:
    """Put an entry into its scope, refusing taken names and designs that grow too large."""
    scope.whole.size += 1
    if scope.whole.size > MOST_NAMES:
        raise TooLarge(wording.too_many(entry.span, "a design", MOST_NAMES))
    known = scope.names.get(entry.name)
    match known, entry.index:
        case None, None:
            scope.names[entry.name] = entry
        case None, int(index):
            scope.names[entry.name] = Row({index: entry})
        case Row(items), int(index) if index not in items:
            items[index] = entry
        case Row(items), _:
            first = items.get(entry.index or 0) or next(iter(items.values()))
            raise Mistake(wording.twice(entry.span, entry.path, first.span))
        case Entry(), _:
            raise Mistake(wording.twice(entry.span, entry.path, known.span))
        case _:
            raise AssertionError(known)


def _entry(statement: tree.Statement, name: tree.Declared, index: int | None, site: Site) -> Entry:
    scope, env, span = site.scope, site.env, name.span
    match statement:
        case tree.Part():
            return PartEntry(name.name, index, span, scope, env, statement)
        case tree.Let():
            return LetEntry(name.name, index, span, scope, env, statement.value)
        case tree.Claim():
            if name.name in _BUILT_IN:
                raise Mistake(wording.built_in_claim(span, name.name))
            return ClaimEntry(name.name, index, span, scope, env)
        case tree.Walker():
            return WalkerEntry(name.name, index, span, scope, env, statement.room)
        case tree.In() | tree.Out():
            role = Role.IN if isinstance(statement, tree.In) else Role.OUT
            shape: Shape = Number(0, 0, units=True) if statement.power else Flag()
            net = _net(name, index, site, shape, role)
            net.power = statement.power
            return PortEntry(name.name, index, span, scope, env, net, statement)
        case tree.Free():
            return _free(statement, index, site)
        case tree.Keep():
            return _keep(statement, index, site)
        case _:
            raise AssertionError(statement)


def _net(name: tree.Declared, index: int | None, site: Site, shape: Shape, role: Role) -> Net:
    blank = Entry(name.name, index, name.span, site.scope, site.env)
    return Net(blank.path, shape, name.span, role, site.scope.path)


def _shape(node: tree.Type, site: Site, what: str) -> Shape:
    match node:
        case tree.PlainType(tree.Plain.FLAG | tree.Plain.SIGNAL):
            return Flag()
        case tree.CountType(range_):
            low, high = express.limits_of(node, site)
            if high - low >= MOST_VALUES:
                raise Mistake(wording.too_many(range_.span, "a count", MOST_VALUES))
            return Number(low, high, units=False)
        case tree.ChoiceType(options):
            if len(options) > MOST_VALUES:
                raise Mistake(wording.too_many(node.span, "a choice", MOST_VALUES))
            return Choice(express.options_of(node))
        case tree.PlainType():
            raise Mistake(wording.not_that_type(node.span, what))
        case _:
            assert_never(node)


def size_of(shape: Shape) -> int:
    """Return how many values a shape has."""
    match shape:
        case Flag():
            return 2
        case Number(low, high):
            return high - low + 1
        case Choice(options):
            return len(options)


def _free(node: tree.Free, index: int | None, site: Site) -> FreeEntry:
    shape = _shape(node.type, site, "a free choice")
    net = _net(node.name, index, site, shape, Role.FREE)
    free = Free(net, size_of(shape), is_press=True)
    return FreeEntry(node.name.name, index, node.name.span, site.scope, site.env, free)


def _keep(node: tree.Keep, index: int | None, site: Site) -> KeptEntry | TimerEntry:
    name, scope, env = node.name, site.scope, site.env
    if isinstance(node.type, tree.PlainType) and node.type.plain is tree.Plain.TIMER:
        blank = Entry(name.name, index, name.span, scope, env)
        start = 0 if node.start is None else _timer_start(node.start, blank.path, site)
        timer = Timer(blank.path, name.span, scope.path, start)
        return TimerEntry(name.name, index, name.span, scope, env, timer)
    shape = _shape(node.type, site, "kept state")
    net = _net(name, index, site, shape, Role.KEPT)
    start = _start(node, shape, site)
    return KeptEntry(name.name, index, name.span, scope, env, net, start)


def _timer_start(node: tree.Expression, path: str, site: Site) -> int:
    express.warn_if_exact(express.fixed_time(node, site), path, site, turned=False)
    return express.fixed_ticks(node, site)


def _start(node: tree.Keep, shape: Shape, site: Site) -> int:
    match shape:
        case Flag():
            if node.start is None:
                return 0
            value = express.evaluate(node.start, site)
            if not isinstance(value, FlagValue) or value.fixed is None:
                raise Mistake(wording.wrong_type(node.start.span, "`yes` or `no`", value))
            return int(value.fixed)
        case Choice(options):
            if node.start is None:
                return 0
            chosen = express.evaluate(node.start, site, options)
            if not isinstance(chosen, ChoiceValue) or chosen.fixed is None:
                raise Mistake(wording.wrong_type(node.start.span, "one of its options", chosen))
            if chosen.options != options:
                raise Mistake(wording.mixed_choices(node.start.span, options, chosen.options))
            return chosen.fixed
        case Number(low, high):
            start = low if node.start is None else express.whole_number(node.start, site)
            if not low <= start <= high:
                span = node.span if node.start is None else node.start.span
                raise Mistake(wording.out_of_range(span, start, low, high))
            return start


# --- parts ---------------------------------------------------------------------------------------


def _place_part(entry: PartEntry) -> None:
    declared, scope = entry.declared, entry.scope
    found = scope.unit.kind(declared.kind.text)
    if found is None and not scope.unit.whole:
        raise AlreadyTold
    if found is None:
        known = scope.unit.kind_names()
        raise Mistake(wording.unknown_kind(declared.kind.span, declared.kind.text, known))
    block, unit = found
    above: Scope | None = scope
    depth = 0
    while above is not None:
        if above.block is block:
            raise Mistake(wording.kind_in_itself(declared.kind.span, block.name.text, entry.path))
        above, depth = above.above, depth + 1
    if depth > DEEPEST_KINDS:
        raise Mistake(wording.kinds_too_deep(declared.kind.span, DEEPEST_KINDS))
    inside = Scope(entry.path, block, unit, scope.whole, scope, entry.span)
    _bind(inside, declared, Site(scope, entry.env))
    entry.inside = inside
    place(inside)


def _bind(inside: Scope, part: tree.Part, site: Site) -> None:
    """Give a part's parameters their arguments or defaults."""
    given: dict[str, tree.Argument] = {}
    parameters = inside.block.parameters
    names = [one.name.text for one in parameters]
    for number, argument in enumerate(part.arguments):
        if argument.name is not None:
            name = argument.name.text
            if name not in names:
                raise Mistake(wording.unknown_argument(argument.name.span, name, inside.block))
        elif (pair := _with_equals(argument, names, site)) is not None:
            raise Mistake(wording.argument_with_equals(argument.span, *pair))
        elif number < len(names):
            name = names[number]
        else:
            raise Mistake(wording.too_many_arguments(argument.span, inside.block))
        if name in given:
            raise Mistake(wording.twice(argument.span, name, given[name].span))
        given[name] = argument
    for one in parameters:
        add(inside, _parameter(one, given.get(one.name.text), inside, site, part))
    for entry in list(inside.entries()):
        if isinstance(entry, ValueEntry):
            express.setting_value(entry, part.span)


def _with_equals(
    argument: tree.Argument, names: Sequence[str], site: Site
) -> tuple[str, str] | None:
    """Return the name and the value of `name = value`, where this can be no comparison."""
    match argument.value:
        case tree.Binary(tree.Operator.EQUAL, tree.Ref((tree.Step(name, None),)), value):
            known = name in site.scope.names or name in site.env.loops
            return None if known or name not in names else (name, value.span.quoted)
        case _:
            return None


def _parameter(
    one: tree.Parameter, argument: tree.Argument | None, inside: Scope, site: Site, part: tree.Part
) -> ValueEntry:
    name = one.name.text
    if argument is not None:
        entry = ValueEntry(name, None, one.name.span, inside, site.env, argument.value, site.scope)
    elif one.default is not None:
        entry = ValueEntry(name, None, one.name.span, inside, Env(), one.default, inside)
    else:
        raise Mistake(wording.missing_argument(part.span, name, inside.block))
    entry.type = one.type
    return entry


def open_scope(block: tree.Block, unit: Unit, whole: Whole) -> Scope:
    """Make the outermost scope of a design."""
    return Scope("", block, unit, whole, None, block.name.span)
