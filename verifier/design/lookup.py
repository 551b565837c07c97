"""Finds what a dotted name means: the entry it leads to, through parts and rows."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from verifier.design import terms, wording
from verifier.design.model import Choice, Fixed, Flag, Live, Net, Number, Read, ReadPick
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
    PortEntry,
    RoomEntry,
    Row,
    Scope,
    TimerEntry,
    ValueEntry,
    WalkerEntry,
)
from verifier.design.values import (
    ChoiceValue,
    FlagValue,
    NumberValue,
    PartValue,
    RoomValue,
    RowValue,
    TimerValue,
    Value,
    WalkerValue,
)
from verifier.source.text import Span
from verifier.syntax import tree

if TYPE_CHECKING:
    from verifier.design.express import Site

Index = Callable[[tree.Expression, "Site"], int]


def look_up(node: tree.Ref, site: "Site", index: Index) -> Value | LetEntry | ValueEntry:
    """Return what a name means; lets and settings are returned as entries, still to be worked out.

    `index` works out indices. Raises Mistake for names that lead nowhere.
    """
    first = node.steps[0]
    if first.name in site.env.loops and len(node.steps) == 1 and first.index is None:
        return NumberValue(Fixed(site.env.loops[first.name]))
    found = find_entry(node, site, index)
    if isinstance(found, Row):
        items = tuple(found.items[key] for key in sorted(found.items))
        return RowValue(node.steps[-1].name, items)
    return of_entry(found, node.span)


def not_there(entry: PartEntry | WalkerEntry, span: Span) -> Mistake | AlreadyTold:
    """Return why a part or walker cannot be asked: broken, or only there once things run."""
    return AlreadyTold() if entry.failed else Mistake(wording.not_fixed(span, "what is said here"))


def find_entry(node: tree.Ref, site: "Site", index: Index) -> Entry | Row:
    """Return the entry, or the row (whole or a slice), that a name leads to."""
    found = _step(node.steps[0], site.scope, site, index)
    for step in node.steps[1:]:
        if not isinstance(found, PartEntry):
            raise Mistake(wording.no_inside(step.span, step.name, node.span.quoted))
        if found.inside is None:
            raise not_there(found, node.span)
        found = _step(step, found.inside, site, index)
    return found


def _step(step: tree.Step, scope: Scope, site: "Site", index: Index) -> Entry | Row:
    known = scope.names.get(step.name)
    if known is None:
        if scope is site.scope:
            names = {*scope.names, *site.env.loops}
            raise Mistake(wording.unknown_name(step.span, step.name, names))
        raise Mistake(wording.unknown_port(step.span, step.name, scope))
    match known, step.index:
        case BrokenEntry(), _:
            raise AlreadyTold
        case Row(), None:
            return known
        case Row(items), tree.Range(low, high):
            first, last = index(low, site), index(high, site)
            wanted = range(first, last + 1)
            missing = [one for one in (first, last) if one not in items]
            if missing:
                raise Mistake(wording.outside_row(step.span, step.name, missing[0], items))
            return Row({key: items[key] for key in wanted if key in items})
        case Row(items), at if at is not None and not isinstance(at, tree.Range):
            number = index(at, site)
            if number not in items:
                raise Mistake(wording.outside_row(step.span, step.name, number, items))
            return items[number]
        case Entry(), None:
            return known
        case _:
            raise Mistake(wording.no_row(step.span, step.name))


def of_entry(  # noqa: C901 - one case a kind of entry
    entry: Entry, span: Span
) -> Value | LetEntry | ValueEntry:
    """Return the value of an entry."""
    match entry:
        case LetEntry() | ValueEntry():
            return entry
        case PortEntry(net=net) | KeptEntry(net=net):
            return of_net(net)
        case FreeEntry(free=free):
            return of_net(free.net)
        case TimerEntry(timer=timer):
            return TimerValue(timer)
        case PartEntry(inside=inside):
            if inside is None:
                raise not_there(entry, span)
            return PartValue(inside)
        case RoomEntry(number=number):
            return RoomValue(number, entry.name)
        case WalkerEntry(walker=walker):
            if walker is None:
                raise not_there(entry, span)
            return WalkerValue(walker)
        case ClaimEntry():
            raise Mistake(wording.claim_as_value(entry.span, entry.name))
        case _:
            raise AssertionError(entry)


def of_net(net: Net) -> Value:
    """Return the value read from a net."""
    match net.shape:
        case Flag():
            return FlagValue(Live(net))
        case Number():
            return NumberValue(Read(net), power=net.power)
        case Choice(options):
            return ChoiceValue(ReadPick(net), options)


def live(net: Net) -> FlagValue:
    """Return a net as a condition: live, or carrying a unit or more."""
    return FlagValue(terms.some(net) if net.power else Live(net))
