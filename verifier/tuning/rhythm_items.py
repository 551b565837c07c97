"""What of a design has a rhythm: lamps, doors, bells, timers, loads, relays, named conditions.

A part counts by what can be read on it, not by the name of its kind, so that kinds of people's own
are treated like the standard ones.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum

from verifier.design import model
from verifier.design.model import Compare, Cond, Design, Fixed, Flag, Live, Net, Number, Relation


class Sort(Enum):
    """What people would call it."""

    DOOR = "door"
    TIMER = "timer"
    PART = "part"
    CONDITION = "condition"
    CLAIM = "claim"  # a condition that a claim speaks of


@dataclass(frozen=True, slots=True)
class Item:
    """Something that is on or off: the net that tells, on while its value is above 0."""

    name: str
    sort: Sort
    net: Net

    @property
    def on(self) -> Cond:
        """The condition that it is on."""
        if isinstance(self.net.shape, Number):
            return Compare(Relation.LESS, Fixed(0), model.Read(self.net))
        return Live(self.net)


_DOOR = ("ajar", "open")


def items_of(design: Design) -> tuple[Design, tuple[Item, ...]]:
    """Return what has a rhythm, and the design with nets for the conditions that claims speak of.

    That design has no claims, so that nothing in it keeps count of more than its parts do.
    """
    hands = {free.net.part for free in design.free}
    parts = [part for part in design.parts if not part.inside and part.path not in hands]
    items = [one for part in parts for one in _of_part(part)]
    items += [
        Item(net.path, Sort.CONDITION, net)
        for net in design.nets
        if not net.part and net.role in (model.Role.LET, model.Role.KEPT) and _on_or_off(net)
    ]
    known = {item.net for item in items}
    asked = [Item(net.path, Sort.CLAIM, net) for net in _of_claims(design, known)]
    nets = (*design.nets, *(one.net for one in asked))
    return replace(design, claims=(), nets=nets), (*items, *asked)


def _on_or_off(net: Net) -> bool:
    return isinstance(net.shape, Flag)


def _of_part(part: model.Part) -> Iterator[Item]:
    read = {net.path.removeprefix(f"{part.path}."): net for net in (*part.ports_out, *part.lets)}
    if all(word in read for word in _DOOR):
        yield from (Item(f"{part.path}.{word}", Sort.DOOR, read[word]) for word in _DOOR)
        return
    driven = bool(part.ports_in)
    timer = bool(part.timers) and driven
    if timer and "on" in read and _on_or_off(read["on"]):
        yield Item(part.path, Sort.TIMER, read["on"])
        return
    signals = [net for net in part.ports_out if _on_or_off(net)]
    keeps = bool(part.kept or part.timers)
    if signals and (driven or keeps):
        yield Item(part.path, Sort.TIMER if timer else Sort.PART, signals[0])
    elif keeps and part.ports_out:
        yield Item(part.path, Sort.TIMER if timer else Sort.PART, part.ports_out[0])


# --- what claims speak of -------------------------------------------------------------------------

_ENDS = (" lasts ", " returns", " within ", " whatever ")


def _of_claims(design: Design, known: set[Net]) -> Iterator[Net]:
    """Yield a net for each condition that a claim is about, where none tells it already."""
    seen = {net.path for net in design.nets}
    for claim in design.claims:
        found = _spoken(claim)
        if found is None:
            continue
        words, what = found
        if words in seen or (isinstance(what, Live) and what.net in known):
            continue
        seen.add(words)
        yield Net(words, Flag(), claim.span, model.Role.LET, "", term=what)


def _spoken(claim: model.Claim) -> tuple[str, Cond] | None:
    """Return the condition that a plain claim is about, as written; None for all other forms."""
    if claim.built_in is not None:
        return None
    first, _, rest = claim.written.partition(" ")
    match claim.sentence:
        case model.Never(model.Not(what)) if first == "always":
            return _cut(rest), what
        case model.Never(what) if first == "never":
            return _cut(rest), what
        case model.Possible(what) if first == "possible":
            return _cut(rest), what
        case model.Eventually(what) if first == "eventually":
            return _cut(rest), what
        case model.Lasts(what) | model.Returns(what):
            return _cut(claim.written), what
        case _:
            return None


def _cut(words: str) -> str:
    """Return the words up to where the form of the claim goes on."""
    return words[: min((at for end in _ENDS if (at := words.find(end)) >= 0), default=None)].strip()
