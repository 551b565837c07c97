"""From a file to a resolved design: the passes, in the order in which they need each other."""

import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TypeVar

from verifier.design import express, loops, maze, model, ranges, sentences, settle, wording
from verifier.design.place import add, open_scope, place
from verifier.design.scope import (
    Entry,
    FreeEntry,
    KeptEntry,
    LetEntry,
    Mistake,
    PortEntry,
    Scope,
    TimerEntry,
    TooLarge,
    Unit,
    ValueEntry,
    Whole,
    telling,
)
from verifier.design.values import Env, NumberValue, TimeValue, Value, describe
from verifier.design.widths import too_wide
from verifier.design.wire import Wiring, undriven, unwired
from verifier.source.diagnostic import Collector
from verifier.source.text import Source
from verifier.syntax import tree
from verifier.syntax.parse import parse

_DEFAULT_TICK = 100_000_000
_DEPTH = 30_000
"""Python's own limit on nested calls while names are worked out; beyond it `too-deep` is told."""

Kind = TypeVar("Kind", bound=Entry)

_SIZES = {"ms": 1_000_000, "s": 1_000_000_000, "min": 60_000_000_000, "h": 3_600_000_000_000}


@dataclass(frozen=True, slots=True)
class Wishes:
    """What is asked of a design: settings by name as text, a finer tick, another tolerance."""

    values: Mapping[str, str] = field(default_factory=dict)
    finer: int = 1
    tolerance: int | None = None


def designs_in(unit: Unit) -> list[tree.Block]:
    """Return the designs of a file, in order."""
    return [block for block in unit.file.blocks if block.is_design]


def resolve(
    block: tree.Block, unit: Unit, collector: Collector, wishes: Wishes | None = None
) -> model.Design | None:
    """Return the design with all names resolved, or None where an error was told.

    All errors are told, not only the first; warnings are told too and stop nothing.
    """
    wishes = wishes or Wishes()
    before = len(collector.found)
    with _deep_calls():
        try:
            design = _resolve(block, unit, collector, wishes)
        except TooLarge as found:
            collector.add(found.diagnostic)
            return None
        except RecursionError:
            collector.add(wording.too_deep(block.name.span))
            return None
    wide = None if design is None else too_wide(design)
    if wide is not None:
        collector.add(wide)
    told = Collector(collector.found[before:])
    return None if told.failed else design


@contextmanager
def _deep_calls() -> Iterator[None]:
    limit = sys.getrecursionlimit()
    sys.setrecursionlimit(max(limit, _DEPTH))
    try:
        yield
    finally:
        sys.setrecursionlimit(limit)


def _resolve(
    block: tree.Block, unit: Unit, collector: Collector, wishes: Wishes
) -> model.Design | None:
    before = len(collector.found)
    whole = Whole(collector, _DEFAULT_TICK)
    scope = open_scope(block, unit, whole)
    with telling(collector):
        _frame(block, whole, wishes)
    with telling(collector):
        _parameters(scope, wishes)
    place(scope)
    layout = maze.lay_out(scope)
    for one in whole.scopes:
        settle.declare_uses(one)
    wiring = _wire(whole)
    for one in whole.scopes:
        settle.of_scope(one)
    walkers = maze.set_going(layout, scope)
    claims = sentences.claims(scope)
    assumptions = sentences.assumptions(whole.scopes)
    settings = _settings(scope)
    if Collector(collector.found[before:]).failed:
        return None
    kept = [settle.kept_of(one) for one in _all(whole, KeptEntry)]
    free = [one.free for one in _all(whole, FreeEntry)]
    timers = [one.timer for one in _all(whole, TimerEntry)]
    kept += [one for one, _ in walkers]
    free += [one for _, one in walkers]
    timers += [one.timer for one in whole.walkers]
    nets = _nets(whole, kept, free)
    order, loop = loops.in_order(nets, timers)
    if loop:
        collector.add(wording.loop(loop, unit.source))
        return None
    started = ranges.of_design(order, kept, free, timers, anywhere=False)
    anywhere = any(isinstance(one.sentence, model.FromAnywhere) for one in claims)
    known = ranges.of_design(order, kept, free, timers, anywhere=True) if anywhere else started
    _bound(nets, known, collector)
    design = model.Design(
        name=block.name.text,
        text=block.text,
        file=unit.source.name,
        span=block.span,
        tick_ns=whole.tick_ns,
        settings=settings,
        parts=tuple(_part(one) for one in whole.scopes if one.above is not None),
        wires=tuple(wiring.drawn),
        nets=tuple(order),
        kept=tuple(kept),
        timers=tuple(timers),
        free=tuple(free),
        walkers=tuple(whole.walkers),
        rooms=tuple(one.name for one in whole.rooms),
        one_press=any(isinstance(one.statement, tree.OnePress) for one in scope.statements),
        assumptions=assumptions,
        claims=claims,
        pinned=whole.pinned,
    )
    _never_live(design, started, collector)
    return design


def _wire(whole: Whole) -> Wiring:
    """Draw all wires, then tell of ports that have none."""
    wiring = Wiring()
    for one in whole.scopes:
        wiring.of_scope(one)
    for one in whole.scopes:
        unwired(one, wiring.behind)
        if one.above is not None:
            undriven(one, wiring.behind)
    wiring.drives()
    return wiring


def _all(whole: Whole, kind: type[Kind]) -> list[Kind]:
    return [one for scope in whole.scopes for one in scope.entries() if isinstance(one, kind)]


# --- the head of a design ------------------------------------------------------------------------


def _frame(block: tree.Block, whole: Whole, wishes: Wishes) -> None:
    """Take the tick and the tolerance, before anything is measured in them."""
    ticks = [one for one in block.body if isinstance(one, tree.Tick)]
    tolerances = [one for one in block.body if isinstance(one, tree.Tolerance)]
    for found, name in ((ticks, "tick"), (tolerances, "tolerance")):
        for extra in found[1:]:
            whole.collector.add(wording.twice(extra.span, name, found[0].span))
    if tolerances:
        whole.percent = tolerances[0].percent
    if wishes.tolerance is not None:
        whole.percent = wishes.tolerance
    span = block.name.span
    if ticks:
        length = ticks[0].length
        span = length.span
        if length.unit not in _SIZES:
            raise Mistake(wording.tick_in_ticks(span))
        whole.tick_ns = length.value * _SIZES[length.unit]
        if whole.tick_ns == 0:
            whole.tick_ns = _DEFAULT_TICK
            raise Mistake(wording.zero_tick(span))
    if whole.tick_ns % wishes.finer:
        raise Mistake(wording.finer_tick(span, whole.tick_ns, wishes.finer))
    whole.tick_ns //= wishes.finer


def _parameters(scope: Scope, wishes: Wishes) -> None:
    """Bind the parameters of a design, and put wished values in place of settings."""
    block = scope.block
    own = [one for one in block.body if isinstance(one, tree.Setting)]
    known = {one.name.text for one in block.parameters} | {one.name.text for one in own}
    for name in wishes.values:
        if name not in known:
            scope.whole.collector.add(wording.unknown_setting(name, known))
    for one in block.parameters:
        name = one.name.text
        node = one.default
        if name in wishes.values:
            node = _read(name, wishes.values[name], scope)
        elif node is None:
            missing = wording.missing_argument(one.span, name, block)
            scope.whole.collector.add(missing)
        entry = ValueEntry(name, None, one.name.span, scope, Env(), node, scope, one.type)
        add(scope, entry)
    scope.wished = {
        one.name.text: _read(one.name.text, wishes.values[one.name.text], scope)
        for one in own
        if one.name.text in wishes.values
    }


def _read(name: str, text: str, scope: Scope) -> tree.Value | None:
    """Read the text of `--set` as a value of the language."""
    source = Source(f"--set {name}", f"design set {{ setting value = {text} }}")
    file = parse(source, scope.whole.collector)
    if file is None:
        return None
    match [block.body for block in file.blocks]:
        case [[tree.Setting(value=value, tunable=None)]]:
            return value
        case _:
            scope.whole.collector.add(wording.no_value(name, text))
            return None


def _settings(scope: Scope) -> tuple[model.SettingValue, ...]:
    found: list[model.SettingValue] = []
    collector = scope.whole.collector

    def take(entry: ValueEntry) -> None:

        used = entry.used
        value = express.setting_value(entry, entry.span)
        if entry.is_setting and not used:
            collector.add(wording.unused_setting(entry.span, entry.name))
        span = None
        if entry.tunable is not None:
            site = express.Site(scope, entry.env)
            ends = (entry.tunable.low, entry.tunable.high)
            low, high = (describe(express.evaluate(end, site)) for end in ends)
            span = (low, high)
            # What is asked for on the command line may leave the range that the file allows.
            if entry.name not in scope.wished:
                _inside(entry.tunable, value, entry, site)
        found.append(model.SettingValue(entry.name, describe(value), span, entry.span))

    for entry in list(scope.entries()):
        if isinstance(entry, ValueEntry):
            with telling(collector):
                take(entry)
    return tuple(found)


def _inside(range_: tree.Range, value: Value, entry: ValueEntry, site: express.Site) -> None:
    """Refuse a value outside the range in which it may be turned, and a range of other things."""
    match value:
        case TimeValue(least, most):
            low, high = (express.fixed_time(end, site).low for end in (range_.low, range_.high))
        case NumberValue(fixed=int(least)):
            most = least
            low, high = (express.whole_number(end, site) for end in (range_.low, range_.high))
        case _:
            raise Mistake(wording.wrong_type(entry.span, "a time or a number", value))
    if low > high:
        raise Mistake(wording.range_backward(range_.span))
    if least < low or most > high:
        span = entry.span if entry.node is None else entry.node.span
        ends = " .. ".join(span.quoted for span in (range_.low.span, range_.high.span))
        raise Mistake(wording.outside_tunable(span, entry.name, describe(value), ends))


# --- the whole -----------------------------------------------------------------------------------


def _nets(whole: Whole, kept: list[model.Kept], free: list[model.Free]) -> list[model.Net]:
    found: dict[model.Net, None] = {}
    for scope in whole.scopes:
        for entry in scope.entries():
            match entry:
                case PortEntry(net=net) | KeptEntry(net=net):
                    found[net] = None
                case FreeEntry(free=one):
                    found[one.net] = None
                case LetEntry() if entry in whole.lets:
                    found[whole.lets[entry]] = None
                case _:
                    pass
    for walker in whole.walkers:
        found[walker.place] = None
        found[walker.exits] = None
    found.update(dict.fromkeys(one.net for one in kept))
    found.update(dict.fromkeys(one.net for one in free))
    return list(found)


def _bound(nets: list[model.Net], known: ranges.Ranges, collector: Collector) -> None:
    """Give numbers their ranges, and tell of power that could go below 0."""
    for net in nets:
        if not isinstance(net.shape, model.Number) or net.term is None:
            continue
        low, high = known.intervals[net]
        if net.power:
            least = ranges.least_amount(net, known)
            if least < 0:
                collector.add(wording.below_zero(net, least))
            low = max(0, low)
        net.shape = model.Number(low, max(low, high), net.shape.units or net.power)


def _part(scope: Scope) -> model.Part:
    kept, timers, lets = [], [], []
    arguments = []
    for entry in scope.entries():
        match entry:
            case KeptEntry(net=net):
                kept.append(net)
            case TimerEntry(timer=timer):
                timers.append(timer)
            case LetEntry() if entry in scope.whole.lets:
                lets.append(scope.whole.lets[entry])
            case ValueEntry(value=value) if value is not None and not entry.is_setting:
                arguments.append((entry.name, describe(value)))
            case _:
                pass
    return model.Part(
        path=scope.path,
        kind=scope.block.name.text,
        span=scope.span,
        arguments=tuple(arguments),
        draw=scope.uses[0] if scope.uses else 0,
        ports_in=tuple(one.net for one in scope.ports(inputs=True)),
        ports_out=tuple(one.net for one in scope.ports(inputs=False)),
        lets=tuple(lets),
        kept=tuple(kept),
        timers=tuple(timers),
        fed=scope.uses[1] if scope.uses else None,
        starving=scope.uses[2] if scope.uses else None,
        inside=scope.above is not None and scope.above.above is not None,
    )


def _never_live(design: model.Design, known: ranges.Ranges, collector: Collector) -> None:
    """Warn of parts all of whose outputs stay dead in every run."""
    for part in design.parts:
        if part.inside or not part.ports_out:
            continue
        if not any(_can_be_live(net, known) for net in part.ports_out):
            collector.add(wording.never_live(part.span, part.path))


def _can_be_live(net: model.Net, known: ranges.Ranges) -> bool:
    if isinstance(net.shape, model.Number):
        return known.intervals[net][1] > 0
    return 1 in known.sets[net]
