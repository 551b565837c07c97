"""From a design to what its wiring drawing holds.

Parts of the design become boxes; what is inside a part of several parts stays there. A condition at
an input becomes gates (IEC 60617-12: `&`, `≥1`, a threshold, a circle for "not", a wedge for
"starts"); what is no gate becomes a box with the words in it. Only inputs that something feeds and
outputs that something reads are drawn, but for a part that stands alone.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from verifier.design.model import (
    And,
    Compare,
    Cond,
    CondIf,
    Design,
    Edge,
    Fixed,
    HowMany,
    Kept,
    Live,
    Net,
    Not,
    Or,
    Part,
    Read,
    ReadPick,
    Relation,
    Role,
    Term,
    Truth,
)
from verifier.report.clock import Clock
from verifier.report.drawing.scheme import Box, Draft, Pin, Port, Scheme
from verifier.report.drawing.wording import words
from verifier.report.graph import Item, read_by

_SHOWN = {  # what of a standard kind is told beside its name
    "supply": ("amount",),
    "tap": ("amount",),
    "divider": ("ways",),
    "pulse": ("span",),
    "on_delay": ("span",),
    "off_delay": ("span",),
    "flasher": ("lit", "dark"),
    "counter": ("limit",),
    "edge": ("way",),
    "button": ("holds",),
    "daylight": ("day", "night"),
    "load": ("needs",),
    "door": ("opens", "shuts"),
    "lever": (),
    "latch": (),
    "plate": (),
    "busbar": (),
    "and_gate": (),
    "or_gate": (),
    "lamp": (),
    "bell": (),
    "toggle": (),
}
_GATES = {And: "and", Or: "or"}


def survey(design: Design) -> Scheme:
    """Return the boxes and wires of a design."""
    surveyor = _Surveyor(design, Clock(design.tick_ns))
    surveyor.parts()
    surveyor.kept()
    return surveyor.draft.scheme()


@dataclass(frozen=True, slots=True)
class _Feed:
    """Where a condition comes from: a pin, read as it is, negated, or only where it starts."""

    pin: Pin
    negated: bool = False
    edge: bool = False


@dataclass(slots=True)
class _Surveyor:
    design: Design
    clock: Clock
    draft: Draft = field(default_factory=Draft)
    homes: dict[str, int] = field(default_factory=dict)  # top parts by path
    own: dict[Item, Pin] = field(default_factory=dict)  # what the design itself declares
    lets: dict[Net, _Feed | None] = field(default_factory=dict)
    made: dict[Term, _Feed | None] = field(default_factory=dict)  # equal conditions share a gate
    waiting: list[tuple[int, list[Item]]] = field(default_factory=list)

    def parts(self) -> None:
        """Draw all parts, and all that feeds them."""
        tops = [part for part in self.design.parts if not part.inside]
        for part in tops:
            head = Box(part.path, part.kind, part.path, _detail(part))
            self.homes[part.path] = self.draft.place(head)
        for part in tops:
            box = self.homes[part.path]
            for net in part.ports_in:
                if net.term is not None:
                    name = net.path.removeprefix(f"{part.path}.")
                    self._input(box, Port(name, net.path, net.power), net.term)

    def kept(self) -> None:
        """Draw what feeds all that the design itself keeps; late, since that may read itself."""
        while self.waiting:
            box, items = self.waiting.pop(0)
            self._reads(box, items)

    # --- what feeds an input ---

    def _input(self, box: int, port: Port, term: Term) -> None:
        """Lead a term to a new input of a box; what is fixed leads nowhere."""
        feed = self._feed(term, name="", power=port.power)
        if feed is not None:
            told = Port(port.name, port.path, port.power, feed.negated, feed.edge)
            self.draft.tie(feed.pin, box, told)

    def _feed(self, term: Term, *, name: str, power: bool = False) -> _Feed | None:
        """Return where a term comes from; `name` is told above a gate that is made for it."""
        match term:
            case Truth() | Fixed():
                return None
            case Live(net) | Read(net) | ReadPick(net):
                return self._net(net, power=power)
            case Not(inner):
                return self._negated(self._feed(inner, name=name), inner)
            case CondIf(condition, Truth(then), Truth(other)) if then is not other:
                feed = self._feed(condition, name=name)
                return feed if then else self._negated(feed, condition)
            case Edge(inner, rising):
                return self._edge(inner, rising=rising)
            case _:
                if term not in self.made:
                    self.made[term] = self._logic(term, name)
                return self.made[term]

    def _logic(self, term: Term, name: str) -> _Feed | None:
        """Return a gate that is made for a term."""
        match term:
            case And(parts) | Or(parts):
                head = Box("", _GATES[type(term)], title=name)
                return self._gate(head, _flat(parts, type(term)), term)
            case Compare():
                threshold = _threshold(term)
                if threshold is not None:
                    sign, counted = threshold
                    return self._gate(Box("", "threshold", title=name, words=sign), counted, term)
                return self._sense(term, name)
            case _:
                return self._sense(term, name)

    def _negated(self, feed: _Feed | None, term: Cond) -> _Feed | None:
        if feed is None or not feed.edge:
            return feed and _Feed(feed.pin, not feed.negated)
        # A circle at an input stands before the wedge: "does not start" needs a box between.
        between = self._boxed(Box("", "same"), [feed], term)
        return between and _Feed(between.pin, negated=True)

    def _edge(self, inner: Cond, *, rising: bool) -> _Feed | None:
        feed = self._feed(inner, name="")
        if feed is not None and feed.edge:
            feed = self._boxed(Box("", "same"), [feed], inner)
        return feed and _Feed(feed.pin, feed.negated is rising, edge=True)

    def _gate(self, head: Box, parts: Iterable[Cond], term: Term) -> _Feed | None:
        feeds = [feed for one in parts if (feed := self._feed(one, name="")) is not None]
        return self._boxed(head, feeds, term)

    def _boxed(self, head: Box, feeds: Iterable[_Feed | None], term: Term) -> _Feed | None:
        box = self._place(head)
        for feed in feeds:
            if feed is not None:
                port = Port("", negated=feed.negated, edge=feed.edge)
                self.draft.tie(feed.pin, box, port)
        return _Feed(self.draft.output(box, Port("", "", term=term)))

    def _sense(self, term: Term, name: str) -> _Feed:
        """Return a box that tells in words what it looks at, with what it reads at its inputs."""
        box = self._place(Box("", "sense", title=name, words=words(term, self.clock)))
        self._reads(box, dict.fromkeys(read_by(term)))
        return _Feed(self.draft.output(box, Port("", "", term=term)))

    def _reads(self, box: int, items: Iterable[Item]) -> None:
        """Lead what a box reads to its inputs, each under its name."""
        for item in items:
            feed = self._item(item)
            if feed is not None:
                port = Port(item.path, item.path, negated=feed.negated, edge=feed.edge)
                self.draft.tie(feed.pin, box, port)

    def _place(self, head: Box) -> int:
        """Place a box of no part under a key of its own."""
        key = head.key or f"{head.kind} {len(self.draft.heads)}"
        return self.draft.place(Box(key, head.kind, head.title, head.detail, head.words))

    # --- nets and timers ---

    def _item(self, item: Item) -> _Feed | None:
        if isinstance(item, Net):
            return self._net(item)
        home = self._home(item.part)
        if home is not None:
            return _Feed(self.draft.output(home, _port(item, self.draft.heads[home].key)))
        if item not in self.own:
            box = self._place(Box(item.path, "timer", title=item.path, detail="timer"))
            self.own[item] = self.draft.output(box, Port("", item.path))
            terms = [item.runs, *(load.condition for load in item.loads)]
            self.waiting.append(
                (box, [*dict.fromkeys(it for term in terms for it in read_by(term))])
            )
        return _Feed(self.own[item])

    def _net(self, net: Net, *, power: bool = False) -> _Feed | None:
        home = self._home(net.part)
        if home is not None:
            port = _port(net, self.draft.heads[home].key, power=power)
            return _Feed(self.draft.output(home, port))
        if net.role is Role.LET and net.term is not None:
            if net not in self.lets:
                self.lets[net] = self._feed(net.term, name=net.path)
            return self.lets[net]
        return _Feed(self._kept_or_free(net))

    def _home(self, part: str) -> int | None:
        """Return the box of the part of the design that a path lies in."""
        while part and part not in self.homes:
            part = part.rpartition(".")[0]
        return self.homes.get(part)

    def _kept_or_free(self, net: Net) -> Pin:
        if net not in self.own:
            kept = next((one for one in self.design.kept if one.net is net), None)
            walker = net.role is Role.PLACE
            kind = "walker" if walker else "kept" if kept else "free"
            title = net.path.removesuffix(".place") if walker else net.path
            box = self._place(Box(net.path, kind, title=title, detail=_sort(kind)))
            self.own[net] = self.draft.output(box, Port("", net.path))
            self.waiting.append((box, [*_kept_reads(kept, net)]))
        return self.own[net]


def _kept_reads(kept: Kept | None, net: Net) -> Iterator[Item]:
    """Yield what a kept value reads, but for itself."""
    terms = [term for case in kept.cases for term in (case.condition, case.value)] if kept else []
    found = dict.fromkeys(item for term in terms for item in read_by(term))
    return (item for item in found if item is not net)


def _port(item: Item, home: str, *, power: bool = False) -> Port:
    name = item.path.removeprefix(f"{home}.")
    return Port(name, item.path, power=power)


def _sort(kind: str) -> str:
    return {"kept": "kept", "free": "anyone", "walker": "walker"}[kind]


def _flat(parts: Sequence[Cond], gate: type[And | Or]) -> Iterator[Cond]:
    """Yield the parts of a gate, with gates of the same sort among them opened."""
    for one in parts:
        match one:
            case And(inner) | Or(inner) if type(one) is gate:
                yield from _flat(inner, gate)
            case _:
                yield one


def _threshold(term: Compare) -> tuple[str, Sequence[Cond]] | None:
    """Return the sign of a gate that counts its live inputs, and these."""
    match term:
        case Compare(Relation.EQUAL, HowMany(parts), Fixed(number)):
            return f"={number}", parts
        case Compare(Relation.LESS_EQUAL, Fixed(number), HowMany(parts)):
            return f"≥{number}", parts
        case Compare(Relation.LESS, Fixed(number), HowMany(parts)):
            return f"≥{number + 1}", parts
        case Compare(Relation.LESS_EQUAL, HowMany(parts), Fixed(number)):
            return f"≤{number}", parts
        case Compare(Relation.LESS, HowMany(parts), Fixed(number)):
            return f"<{number}", parts
        case _:
            return None


def _detail(part: Part) -> str:
    """Return the kind of a part and what it was told, in few words."""
    shown = _SHOWN.get(part.kind)
    told = [part.kind]
    for name, value in part.arguments:
        if shown is None or name in shown:
            told.append(value if shown is not None else f"{name} {value}")
        elif value == "yes":
            told.append(name)
        elif name == "room" and value != "anywhere":
            told.append(f"in {value}")
        elif name == "wins":
            told.append(f"{value} wins")
    return f"{told[0]} {', '.join(told[1:])}".rstrip()
