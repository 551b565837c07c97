"""Facts in words: who is how, in the builder's own names."""

from dataclasses import dataclass, field
from typing import assert_never

from verifier.causes.facts import Fact, Kind
from verifier.design.model import Choice, Design, Flag, Net, Number, Part, Walker
from verifier.report.clock import Clock
from verifier.report.readings import leaf_nets

# What a part is said to be when a condition of this name holds; all others are told by their path.
_IS = frozenset(
    ("ajar", "open", "shut", "moving", "lit", "on", "fed", "starving", "full", "empty", "pulled")
)
# What a part is said to do, and not to do.
_DOES = {"rings": ("rings", "does not ring"), "works": ("works", "does not work")}


@dataclass(frozen=True, slots=True)
class Phrases:
    """Puts facts of one design into words."""

    design: Design
    clock: Clock
    nets: dict[str, Net] = field(init=False)
    parts: dict[str, Part] = field(init=False)
    walkers: dict[str, Walker] = field(init=False)

    def __post_init__(self) -> None:
        """Put what is declared where it is found by name."""
        put = object.__setattr__
        put(self, "nets", {net.path: net for net in self.design.nets})
        put(self, "parts", {part.path: part for part in self.design.parts})
        owned = {}
        for walker in self.design.walkers:
            for path in (walker.place.path, walker.timer.path, walker.exits.path):
                owned[path] = walker
        put(self, "walkers", owned)

    def owner(self, path: str) -> str:
        """Return whom people know an item by: its part, its walker, or itself."""
        if path in self.walkers:
            return self.walkers[path].name
        if path in self.nets:
            return self.nets[path].part or path
        timers = (timer.part for timer in self.design.timers if timer.path == path)
        return next(timers, "") or path

    def fact(self, fact: Fact, *, still: bool = False) -> str:
        """Return what a fact says; `still`: it has long been so, and will not stay so."""
        owner = self.owner(fact.path)
        match fact.kind:
            case Kind.STARTED:
                return f"{owner} was started at {self.clock.moment(fact.tick)}"
            case Kind.RUNS | Kind.OVER if fact.path in self.walkers:
                return f"{owner} is {'on the way' if fact.kind is Kind.RUNS else 'there'}"
            case Kind.RUNS:
                return f"{owner} still has {self.clock.span(fact.value)} to run"
            case Kind.OVER:
                return f"{owner} has run out" if fact.since else f"{owner} does not run"
            case _:
                return self._value(fact, still=still)

    def turn(self, fact: Fact) -> str:
        """Return what has just happened, as that by which something else comes about."""
        owner = self.owner(fact.path)
        if fact.kind is Kind.STARTED or (fact.kind is Kind.VALUE and fact.value):
            return f"by {owner}"
        net = self.nets.get(fact.path)
        if net is not None and isinstance(net.shape, Flag):
            word = net.path.rpartition(".")[2]
            part = self.parts.get(owner)
            if part is not None and word in _IS and not (word == "ajar" and leaf_nets(part)):
                return f"as {owner} is no longer {word}"
            if part is None or not (word in _DOES or word in _IS):
                return f"as {owner} goes dead"
        return f"as {self.fact(fact)}"

    def is_state(self, net: Net) -> bool:
        """Whether a net tells how its part stands: open, fed, lit."""
        return net.path.rpartition(".")[2] in _IS

    def never(self, net: Net, *, live: bool) -> str:
        """Return that a flag is never live, or never dead."""
        owner, word = self.owner(net.path), net.path.rpartition(".")[2]
        part = self.parts.get(owner)
        if part is not None and word in _IS and net.path != owner:
            return f"{owner} is {'never' if live else 'always'} {word}"
        name = owner if part is not None and net in part.ports_out[:1] else net.path
        return f"{name} is {'never' if live else 'always'} live"

    def _value(self, fact: Fact, *, still: bool) -> str:
        net, owner, value = self.nets[fact.path], self.owner(fact.path), fact.value
        match net.shape:
            case Choice(options) if fact.path in self.walkers:
                return _stands(owner, options[value])
            case Choice(options):
                return f"{fact.path} stands at {options[value]}"
            case Number() if net.power and net.part:
                units = f"{value} unit{'' if value == 1 else 's'}" if value else "nothing"
                return f"{owner} {'gives' if net in self._outputs(owner) else 'gets'} {units}"
            case Number():
                return f"{fact.path} is {value}"
            case Flag():
                return self._flag(net, owner, live=bool(value), still=still)
            case _:
                assert_never(net.shape)

    def _outputs(self, owner: str) -> tuple[Net, ...]:
        part = self.parts.get(owner)
        return part.ports_out if part else ()

    def _flag(self, net: Net, owner: str, *, live: bool, still: bool) -> str:
        word = net.path.rpartition(".")[2]
        lag = " still" if still and live else ""
        no = " not yet" if still else " not"
        part = self.parts.get(owner)
        if part is None or net.path == owner:
            return f"{net.path} is{lag} live" if live else f"{net.path} is{no} live"
        if word == "ajar" and not live and leaf_nets(part) is not None:
            return f"{owner} is{' still' if still else ''} shut"
        if word in _DOES:
            return f"{owner} {_DOES[word][0 if live else 1]}"
        if word in _IS:
            return f"{owner} is{lag if live else no} {word}"
        name = owner if net in part.ports_out[:1] else net.path
        return f"{name} is{lag if live else no} live"


def _stands(walker: str, place: str) -> str:
    start, arrow, end = place.partition(" -> ")
    return f"{walker} is between {start} and {end}" if arrow else f"{walker} is in {place}"
