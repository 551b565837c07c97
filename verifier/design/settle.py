"""How state changes: `becomes`, `loads`, `runs`, `uses`, and what outputs show."""

from verifier.design import express, terms, wording
from verifier.design.coerce import check_ticks, tick_count
from verifier.design.express import Site, let_net, let_value
from verifier.design.lookup import find_entry, live
from verifier.design.model import (
    Case,
    Choice,
    Cond,
    Fixed,
    Flag,
    Kept,
    Load,
    Net,
    Number,
    Read,
    Relation,
    Term,
)
from verifier.design.place import add
from verifier.design.scope import (
    KeptEntry,
    LetEntry,
    Mistake,
    PortEntry,
    Scope,
    TimerEntry,
    telling,
)
from verifier.design.values import ChoiceValue, Env, FlagValue, NumberValue, TimerValue, TimeValue
from verifier.source.text import Span
from verifier.syntax import tree


def declare_uses(scope: Scope) -> None:
    """Make `fed`, `spare` and `starving` of a kind that uses units, before terms are worked out."""
    for placed in scope.statements:
        if isinstance(placed.statement, tree.Uses):
            uses, site = placed.statement, Site(scope, placed.env)
            with telling(scope.whole.collector):
                _uses(uses, site)


def _uses(node: tree.Uses, site: Site) -> None:
    scope = site.scope
    if scope.uses is not None:
        raise Mistake(wording.two_uses(node.span))
    feed = find_entry(node.feed, site, express.whole_number)
    if not isinstance(feed, PortEntry) or not feed.is_input or not feed.net.power:
        raise Mistake(wording.not_a_feed(node.feed.span))
    draw = express.whole_number(node.number, site)
    amount = Read(feed.net)
    fed = terms.compare(Relation.LESS_EQUAL, Fixed(draw), amount) if draw else terms.YES
    starving = terms.all_of((terms.some(feed.net), terms.negate(fed)))
    fed_net = _own(scope, "fed", FlagValue(fed), node.span)
    spare = terms.num_if(live(fed_net).term, terms.subtract(amount, Fixed(draw)), Fixed(0))
    _own(scope, "spare", NumberValue(spare), node.span)
    starving_net = _own(scope, "starving", FlagValue(starving), node.span)
    scope.uses = (draw, fed_net, starving_net)
    if draw < 0:  # told last, so that `fed` and `spare` are known to what else is told
        raise Mistake(wording.negative_number(node.number.span, "what a part uses"))


def _own(scope: Scope, name: str, value: FlagValue | NumberValue, span: Span) -> Net:
    entry = LetEntry(name, None, span, scope, Env(), None)
    net = let_net(entry, value)
    scope.whole.lets[entry] = net
    entry.value = (
        FlagValue(live(net).term) if isinstance(value, FlagValue) else NumberValue(Read(net))
    )
    add(scope, entry)
    return net


def of_scope(scope: Scope) -> None:
    """Work out all lets, outputs and changes of state that stand in a scope."""
    collector = scope.whole.collector
    for entry in list(scope.entries()):
        if isinstance(entry, LetEntry):
            with telling(collector):
                let_value(entry, entry.span)
        if isinstance(entry, PortEntry) and not entry.is_input:
            with telling(collector):
                _output(entry)
    for placed in scope.statements:
        site = Site(scope, placed.env)
        match placed.statement:
            case tree.Becomes() as node:
                with telling(collector):
                    _becomes(node, site)
            case tree.Loads() as node:
                with telling(collector):
                    _loads(node, site)
            case tree.Runs() as node:
                with telling(collector):
                    _runs(node, site)
            case _:
                pass
    for entry in scope.entries():
        if isinstance(entry, TimerEntry):
            entry.timer.loads = tuple(entry.loads)


def _output(entry: PortEntry) -> None:
    declared = entry.declared
    assert isinstance(declared, tree.Out)
    if declared.value is None:
        return
    site = Site(entry.scope, entry.env)
    if entry.net.power:
        entry.net.term = express.number(declared.value, site)
    else:
        entry.net.term = express.condition(declared.value, site)


def _becomes(node: tree.Becomes, site: Site) -> None:
    entry = find_entry(node.target, site, express.whole_number)
    if not isinstance(entry, KeptEntry) or entry.scope is not site.scope:
        raise Mistake(wording.not_kept(node.target.span, "becomes"))
    if entry.becomes is not None:
        raise Mistake(wording.twice(node.target.span, f"{entry.path} becomes", entry.becomes))
    entry.becomes = node.target.span
    for case in node.cases:
        when = terms.YES if case.condition is None else express.condition(case.condition, site)
        entry.cases.append(Case(_new_value(entry, case.value, site), when))


def _new_value(entry: KeptEntry, node: tree.Value, site: Site) -> Term:
    match entry.net.shape:
        case Flag():
            if isinstance(node, tree.Range):
                raise Mistake(wording.no_range_here(node.span))
            return express.condition(node, site)
        case Number(low, high):
            value = express.evaluate(node, site)
            if not isinstance(value, NumberValue):
                raise Mistake(wording.wrong_type(node.span, "a count", value))
            if value.fixed is not None and not low <= value.fixed <= high:
                raise Mistake(wording.out_of_range(node.span, value.fixed, low, high))
            return value.term
        case Choice(options):
            chosen = express.evaluate(node, site, options)
            if not isinstance(chosen, ChoiceValue) or chosen.options != options:
                raise Mistake(wording.wrong_type(node.span, "one of its options", chosen))
            return chosen.term


def _timer(node: tree.Ref, site: Site, word: str) -> TimerEntry:
    entry = find_entry(node, site, express.whole_number)
    if not isinstance(entry, TimerEntry) or entry.scope is not site.scope:
        raise Mistake(wording.not_kept(node.span, word))
    return entry


def _loads(node: tree.Loads, site: Site) -> None:
    entry = _timer(node.target, site, "loads")
    if entry.loaded is not None:
        raise Mistake(wording.twice(node.target.span, f"{entry.path} loads", entry.loaded))
    entry.loaded = node.target.span
    for case in node.cases:
        when = terms.YES if case.condition is None else express.condition(case.condition, site)
        span, turned = _load_span(entry, case.value, site)
        if turned:
            express.warn_if_exact(span, entry.path, site, turned=True)
        entry.loads.append(_load(when, span, site, turned=turned))


def _load_span(entry: TimerEntry, node: tree.Value, site: Site) -> tuple[TimeValue, bool]:
    if isinstance(node, tree.Binary) and node.operator is tree.Operator.MINUS:
        right = express.evaluate(node.right, site)
        if isinstance(right, TimerValue):
            if right.timer is not entry.timer:
                raise Mistake(wording.turned_other(node.right.span, entry.path))
            return express.fixed_time(node.left, site), True
    return express.time(node, site), False


def _load(when: Cond, span: TimeValue, site: Site, *, turned: bool) -> Load:
    low = tick_count(span.low, span.span, site.tick)
    high = tick_count(span.high, span.span, site.tick)
    percent = site.scope.whole.percent
    if percent and span.high > site.tick and not turned:
        low, high = widened(span, percent, site)
        check_ticks(high, span.span, site.tick)
    return Load(when, low, high, turned, span.span)


def widened(span: TimeValue, percent: int, site: Site) -> tuple[int, int]:
    """Return a span in ticks, widened by a tolerance outward to whole ticks, never below one.

    Warns where the rounding does more than the tolerance itself, naming a tick that would do.
    """
    tick = site.tick
    low = max(1, span.low * (100 - percent) // (100 * tick)) if span.low else 0
    high = -(-span.high * (100 + percent) // (100 * tick))
    wanted = span.low * percent // 100
    rounded = max(
        span.low - low * tick - wanted, high * tick - span.high - span.high * percent // 100
    )
    if rounded > wanted:
        site.scope.whole.collector.add(wording.coarse_tolerance(span, percent, tick))
    return low, high


def _runs(node: tree.Runs, site: Site) -> None:
    entry = _timer(node.target, site, "runs while")
    if entry.run is not None:
        raise Mistake(wording.twice(node.target.span, f"{entry.path} runs while", entry.run))
    entry.run = node.target.span
    entry.timer.runs = express.condition(node.condition, site)


def kept_of(entry: KeptEntry) -> Kept:
    """Return the finished state of an entry."""
    return Kept(entry.net, entry.start, tuple(entry.cases))
