"""Why nothing goes on: for each timer at rest, the facts that keep it from being started.

A timer waits while none of its loads is taken. The facts that settle that are followed back out of
the part, to what someone who built it can point at.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from verifier.causes.facts import Fact, Kind
from verifier.causes.reasons import Reasons
from verifier.design.model import Design, Flag, Part, Role
from verifier.tuning.cycle import Loop
from verifier.tuning.rhythm import Rhythm

_DEEP = 12  # so many steps back are gone through wires and gates


@dataclass(frozen=True, slots=True)
class Wait:
    """A part that is not started, and the facts that keep it so."""

    part: str
    facts: tuple[Fact, ...]


def waits_of(rhythm: Rhythm) -> tuple[Wait, ...]:
    """Return what each timer waits for in the state in which all is at rest; none in a loop."""
    loop = rhythm.loop
    if not isinstance(loop, Loop) or loop.period is not None:
        return ()
    reasons = Reasons(rhythm.system, rhythm.seen)
    found = [
        Wait(part.path, facts)
        for part in rhythm.design.parts
        if _is_timer(part) and (facts := _keep_off(reasons, rhythm.design, part))
    ]
    return tuple(found)


def _is_timer(part: Part) -> bool:
    """Whether it is a timer that something else starts; the leaf of a door only follows."""
    names = {net.path.rpartition(".")[2] for net in (*part.ports_out, *part.lets)}
    return bool(part.timers and part.ports_in) and not part.inside and "ajar" not in names


def _keep_off(reasons: Reasons, design: Design, part: Part) -> tuple[Fact, ...]:
    tick = reasons.readings.length - 1
    facts: list[Fact] = []
    for timer in part.timers:
        for load in timer.loads:
            if load.high > 0 and not reasons.holds(load.condition, tick):
                facts += reasons.settled(load.condition, tick)
    found = list(dict.fromkeys(_outside(reasons, design, facts, part)))
    own = {net.path for net in (*part.kept, *part.lets)} | {one.path for one in part.timers}
    return tuple([one for one in found if one.path not in own] or found)


def _outside(reasons: Reasons, design: Design, facts: Iterable[Fact], part: Part) -> list[Fact]:
    """Follow facts back through wires, gates and names to kept state, timers and people."""
    parts = {one.path: one for one in design.parts}
    found: list[Fact] = []
    todo = [(fact, 0) for fact in facts]
    while todo:
        fact, deep = todo.pop(0)
        behind = (
            reasons.behind(fact) if deep < _DEEP and _passes(reasons, parts, fact, part) else ()
        )
        if behind:
            todo = [*((one, deep + 1) for one in behind), *todo]
        else:
            found.append(fact)
    return found


def _passes(reasons: Reasons, parts: dict[str, Part], fact: Fact, part: Part) -> bool:
    """Whether a fact only hands on what others say, as inputs, gates and plain names do."""
    if fact.kind is not Kind.VALUE:
        return False
    net = reasons.nets[fact.path]
    if net.term is None:
        return False
    owner = parts.get(net.part)
    if owner is None or owner is part or net.role is Role.IN:
        return True
    return isinstance(net.shape, Flag) and not (owner.timers or owner.kept)
