"""Wires: which port feeds which, and the loose logic of `when`."""

from collections.abc import Collection
from dataclasses import dataclass, field

from verifier.design import express, terms, wording
from verifier.design.coerce import main_output
from verifier.design.express import Site
from verifier.design.lookup import find_entry
from verifier.design.model import Cond, Fixed, Live, Net, Read, Term, WireDrawn
from verifier.design.scope import (
    AlreadyTold,
    Entry,
    FreeEntry,
    KeptEntry,
    LetEntry,
    Mistake,
    PartEntry,
    PortEntry,
    Row,
    Scope,
    telling,
)
from verifier.syntax import tree


@dataclass(frozen=True, slots=True)
class Source:
    """The left side of a wire: its condition or net, and the port it is (None for loose names)."""

    net: Net | None
    term: Term
    power: bool
    port: PortEntry | None


@dataclass(slots=True)
class Wiring:
    """Collects the wires of all scopes."""

    drawn: list[WireDrawn] = field(default_factory=list)
    looped: list[tuple[tree.Drive, Site, PortEntry]] = field(default_factory=list)
    behind: set[PortEntry] = field(default_factory=set)  # wired to what is broken, which was told

    def of_scope(self, scope: Scope) -> None:
        """Wire everything that stands in one scope."""
        for placed in scope.statements:
            site = Site(scope, placed.env)
            match placed.statement:
                case tree.Wire() as wire:
                    self._wire(wire, site)
                case tree.Drive() as drive:
                    with telling(scope.whole.collector):
                        self._drive(drive, site)
                case _:
                    pass

    def _wire(self, wire: tree.Wire, site: Site) -> None:
        for number, stop in enumerate(wire.stops[1:], start=1):
            before = wire.stops[number - 1]
            with telling(site.scope.whole.collector):
                try:
                    source = self._source(before, site, first=number == 1)
                except AlreadyTold:
                    self._excuse(_single(stop, site))
                    raise
                self._join(source, stop, before, site)

    def _excuse(self, entry: Entry) -> None:
        """Note what a wire leads to whose beginning is broken: that nothing feeds it is no news."""
        match entry:
            case PartEntry(inside=inside) if inside is not None:
                self.behind.update(inside.ports(inputs=True))
            case PortEntry():
                self.behind.add(entry)
            case _:
                pass

    def _source(self, node: tree.Ref, site: Site, *, first: bool) -> Source:
        entry = _single(node, site)
        match entry:
            case PartEntry(inside=inside):
                if inside is None:
                    raise AlreadyTold
                port = main_output(inside, node)
                return Source(port.net, _term(port.net), port.net.power, port)
            case PortEntry():
                if entry.is_input is not (entry.scope is site.scope):
                    if not first:
                        raise Mistake(wording.chain_through_port(node.span, entry))
                    raise Mistake(wording.not_a_source(node.span, entry.path, entry.is_input))
                return Source(entry.net, _term(entry.net), entry.net.power, entry)
            case KeptEntry(net=net):
                return Source(net, _flag(node, site), power=False, port=None)
            case FreeEntry(free=free):
                return Source(free.net, _flag(node, site), power=False, port=None)
            case LetEntry():
                term = _flag(node, site)
                named = term.net if isinstance(term, Live) else None
                return Source(named, term, power=False, port=None)
            case _:
                raise Mistake(wording.not_a_source(node.span, entry.path, is_input=False))

    def _join(self, source: Source, stop: tree.Ref, before: tree.Ref, site: Site) -> None:
        target = self._target(source, stop, before, site)
        span = before.span.to(stop.span)
        if target.net.power and not source.power:
            raise Mistake(wording.signal_into_power(span, before.span.quoted, target))
        if target.driver is not None:
            raise Mistake(wording.two_wires(span, target, target.driver))
        target.driver = target.net.driver = span
        if target.net.power:
            assert source.port is not None
            if source.port.sink is not None:
                raise Mistake(wording.split_power(span, source.port, source.port.sink))
            source.port.sink = span
        if source.power and not target.net.power:
            assert source.net is not None
            target.net.term = terms.some(source.net)
        else:
            target.net.term = source.term
        if source.net is not None:
            self.drawn.append(WireDrawn(source.net, target.net, span))

    def _target(self, source: Source, node: tree.Ref, before: tree.Ref, site: Site) -> PortEntry:
        entry = _single(node, site)
        match entry:
            case PartEntry(inside=inside):
                if inside is None:
                    raise AlreadyTold
                inputs, said = inside.ports(inputs=True), before.span.quoted
                for port in inputs:
                    if port.net.power is source.power:
                        return port
                if inputs and not source.power:
                    raise Mistake(wording.signal_into_power(node.span, said, inputs[0]))
                what = "power" if source.power else "signal"
                raise Mistake(wording.no_port(node.span, inside, what, said))
            case PortEntry():
                own = entry.scope is site.scope
                if entry.is_input is own:
                    raise Mistake(wording.not_a_target(node.span, entry.path))
                return entry
            case _:
                raise Mistake(wording.not_a_target(node.span, entry.path))

    def _drive(self, drive: tree.Drive, site: Site) -> None:
        target = _single(drive.target, site)
        own = isinstance(target, PortEntry) and target.scope is site.scope
        if not isinstance(target, PortEntry) or target.is_input is own:
            raise Mistake(wording.not_a_target(drive.target.span, target.path))
        if target.net.power:
            raise Mistake(wording.signal_into_power(drive.span, "`when`", target))
        if target.driver is not None:
            raise Mistake(wording.two_wires(drive.span, target, target.driver))
        target.driver = target.net.driver = drive.span
        target.net.term = terms.NO
        self.looped.append((drive, site, target))

    def drives(self) -> None:
        """Work out the conditions of all `when` statements, once every port is known."""
        for drive, site, target in self.looped:
            with telling(site.scope.whole.collector):
                target.net.term = express.condition(drive.condition, site)


def _term(net: Net) -> Term:
    return Read(net) if net.power else Live(net)


def _flag(node: tree.Ref, site: Site) -> Cond:
    return express.condition(node, site)


def _single(node: tree.Ref, site: Site) -> Entry:
    found = find_entry(node, site, express.whole_number)
    if isinstance(found, Row):
        raise Mistake(wording.row_without_index(node.span, node.steps[-1].name, found.items))
    return found


def unwired(scope: Scope, behind: Collection[PortEntry]) -> None:
    """Give unwired inputs what they read, and warn of those that are not optional.

    Of ports `behind` what is broken nothing is said, here and in `undriven`.
    """
    for entry in scope.entries():
        if not isinstance(entry, PartEntry) or entry.inside is None:
            continue
        missing: list[PortEntry] = []
        for port in entry.inside.ports(inputs=True):
            if port.driver is not None:
                continue
            declared = port.declared
            assert isinstance(declared, tree.In)
            if port.net.power:
                port.net.term = Fixed(0)
            else:
                port.net.term = terms.YES if declared.unwired else terms.NO
            if declared.unwired is None and port not in behind:
                missing.append(port)
        if missing:
            scope.whole.collector.add(wording.unwired(entry, missing))


def undriven(scope: Scope, behind: Collection[PortEntry]) -> None:
    """Tell of outputs of a kind that nothing drives, by expression or by wire."""
    for port in scope.ports(inputs=False):
        declared = port.declared
        assert isinstance(declared, tree.Out)
        if declared.value is not None and port.driver is not None:
            scope.whole.collector.add(wording.two_wires(port.driver, port, declared.span))
        if declared.value is None and port.driver is None:
            if port not in behind:
                scope.whole.collector.add(wording.undriven(port))
            port.net.term = Fixed(0) if port.net.power else terms.NO
