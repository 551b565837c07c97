"""How taps must be set so that every part gets its units, with the least supply there can be.

For designs in which power runs without switches, from sources that may give any amount (whatever
lowers them) through taps, dividers and busbars. A tap counts by what its outputs say, not by the
name of its kind: one gives the smaller of what arrives and a fixed amount, another the rest.
"""

from dataclasses import dataclass

from verifier.design.model import Compare, Design, Fixed, Net, NumIf, Part, Read, Relation, Subtract
from verifier.logic.amounts import Network, NoAmountsError, SwitchedError, least_amounts
from verifier.tuning.supply import Bench, Knob, source_parts
from verifier.tuning.units import feed_of, users


@dataclass(frozen=True, slots=True)
class Settings:
    """Amounts of sources (by part) and taps (by knob) with which all parts get what they need.

    `least`: with any smaller supply in all, no setting of the taps serves. The design was made with
    them and its claims decided: `serves` if it is proved that each part gets its units and none
    starves; `broken` are claims of its own that hold as it is and then do not.
    """

    sources: tuple[tuple[str, int], ...]
    taps: tuple[tuple[Knob, int], ...]
    least: bool
    serves: bool
    broken: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NoSettings:
    """Why no settings are proposed: `switched` names what switches power, else `words` say why."""

    switched: str = ""
    words: str = ""


def settings_of(
    bench: Bench, design: Design, found: tuple[Knob, ...]
) -> Settings | NoSettings | None:
    """Return how the taps must be set; None where there is no tap to set."""
    knobs = {one.part: one for one in found}
    taps = {part: net for part in design.parts if part.path in knobs and (net := tap_of(part))}
    outs = tuple(net for part in source_parts(design) for net in part.ports_out if net.power)
    if not taps or not outs:
        return None
    needs = tuple((feed_of(part), part.draw) for part in users(design))
    network = Network(outs, {net: part.ports_in[0] for part, net in taps.items()}, needs)
    try:
        amounts = least_amounts(network)
    except SwitchedError as switched:
        return NoSettings(switched=str(switched))
    except NoAmountsError as none:
        return NoSettings(words=str(none))
    set_to = tuple((knobs[part.path], one) for part, one in zip(taps, amounts.taps, strict=True))
    given = tuple((net.part, one) for net, one in zip(outs, amounts.sources, strict=True))
    values = dict(set_to)
    for path, value in given:
        # Whatever lowers a source must leave as much: all its amounts are set to it.
        values.update({one: value for one in found if one.part == path})
    serves, broken = _checked(bench, values)
    return Settings(given, set_to, amounts.least, serves, broken)


def _checked(bench: Bench, values: dict[Knob, int]) -> tuple[bool, tuple[str, ...]]:
    """Return whether all parts get their units, and which claims hold no more."""
    system, now = bench.system(values), bench.system({})
    if system is None:
        return False, ()
    failing = bench.failing(system)
    own = {claim.name for claim in system.design.claims if not claim.built_in and claim.written}
    before = () if now is None else bench.failing(now)
    return own.issuperset(failing), tuple(one for one in failing if one not in before)


def tap_of(part: Part) -> Net | None:
    """Return the output that gives the smaller of what arrives and an amount, if that is all."""
    feeds = [net for net in part.ports_in if net.power]
    if len(feeds) != 1 or part.kept or part.timers:
        return None
    (feed,) = feeds
    side = next((net for net in part.ports_out if _is_side(net, feed)), None)
    others = [net for net in part.ports_out if net is not side]
    if side is None or not all(net.term == Subtract(Read(feed), Read(side)) for net in others):
        return None
    return side


def _is_side(net: Net, feed: Net) -> bool:
    match net.term:
        case NumIf(Compare(Relation.LESS, Read(one), Fixed(amount)), Read(two), Fixed(other)):
            return one is feed and two is feed and amount == other
        case _:
            return False
