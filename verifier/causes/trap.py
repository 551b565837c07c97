"""What shuts a trap: what can never be again once it is entered, and would set people free.

All states that can be reached from inside are looked at, whatever people do and whatever spans are
drawn; where they are too many nothing is said. What can never be live (or dead) again there is
tried by a lever: were it so, what is asked for would be within reach.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice, product

from verifier.causes.levers import Bench, levered
from verifier.design.model import Flag, Net, Role
from verifier.simulate.endless import Round
from verifier.simulate.machine import Machine, Position, machine
from verifier.simulate.presses import Press, Stretch, stretches_of
from verifier.simulate.variations import Variations
from verifier.system.cone import cone
from verifier.system.expr import Node, Op, reachable
from verifier.system.model import Cone, Question, System
from verifier.verdict.trace import Lasso, Trace

MOST_LOOKS = 40_000
"""Traps with more states and choices than that are not looked into."""

_MOST = 12  # things that can never be again are tried


@dataclass(frozen=True, slots=True)
class Never:
    """The net of this path can never be `live` (or dead) again; were it, there would be a way."""

    path: str
    live: bool


@dataclass(frozen=True, slots=True)
class Trap:
    """What shuts a trap for good, and the acts but for which there would still be a way."""

    never: tuple[Never, ...]
    acts: tuple[Press, ...]
    near: Variations


@dataclass(frozen=True, slots=True)
class Inside:
    """What was seen of all states that can be reached: whether it is all, by place in the watch.

    `whole`: nothing was left out. `ever` and `always` tell of each watched node.
    """

    whole: bool
    ever: tuple[bool, ...]
    always: tuple[bool, ...]


def explain_trap(system: System, question: Question, trace: Trace) -> Trap | None:
    """Return what shuts the trap that a run enters; None where that is too much to look at."""
    near = Variations.of(system, question.goal, trace, anywhere=question.anywhere)
    part = near.machine.cone
    nets = [net for net in system.design.nets if _is_told(net) and _within(system, part, net)]
    nodes = [system.shown[net.path].nodes[0] for net in nets]
    follower = machine(part, (question.goal, system.allowed, *nodes))
    end = _end(follower, near.start, Round.of(part, Lasso(trace, 0)).stretches)
    inside = look_round(follower, end, {})
    if not inside.whole or inside.ever[0]:
        return None
    never = [
        Never(net.path, live=not live)
        for net, live, dead in zip(nets, inside.ever[2:], inside.always[2:], strict=True)
        if not live or dead
    ]
    freed = tuple(one for one in never[:_MOST] if _frees(system, question, trace, one))
    acts = tuple(one for one in near.plan.presses if _was_needed(follower, near, one))
    return Trap(freed, acts, near)


def _is_told(net: Net) -> bool:
    return isinstance(net.shape, Flag) and net.role is not Role.IN and not net.path.endswith(".fed")


def _within(system: System, part: Cone, net: Net) -> bool:
    """Whether a net hangs on nothing but what the cone has, and is not the same in every run."""
    (node,) = system.shown[net.path].nodes
    inside = {
        Op.PICK: set(part.choices),
        Op.REGISTER: set(part.registers),
        Op.ABOVE: set(part.clocks),
    }
    leaves = [one for one in reachable([node]) if not one.args and one.op is not Op.CONST]
    return bool(leaves) and all(
        one.op in inside and one.data[0] in inside[one.op] for one in leaves
    )


def _end(follower: Machine, at: Position, steps: Sequence[Stretch]) -> Position:
    """Return where steps lead from a state."""
    for step in steps:
        for _ in range(step.ticks):
            look = follower.look(*at, step.choices)
            at = follower.after(at, look, follower.fitted(look, step.draws), 1)
    return at


def look_round(follower: Machine, start: Position, forced: Mapping[int, int]) -> Inside:
    """Look at all that can be reached from a state; ends where the first watched node is met.

    `forced`: the choices at these places stand at that option all the time.
    """
    count = len(follower.watched)
    ever, always = [False] * count, [True] * count
    ways = [
        (forced[place],) if place in forced else tuple(range(options))
        for place, options in enumerate(follower.options)
    ]
    seen, todo, looks = {start}, [start], 0
    while todo:
        at = todo.pop()
        for choices in product(*ways):
            looks += 1
            if looks > MOST_LOOKS:
                return Inside(whole=False, ever=tuple(ever), always=tuple(always))
            look = follower.look(*at, choices)
            if not look.seen[1]:
                continue
            ever = [one or now for one, now in zip(ever, look.seen, strict=True)]
            always = [one and now for one, now in zip(always, look.seen, strict=True)]
            if look.seen[0]:
                return Inside(whole=False, ever=tuple(ever), always=tuple(always))
            for draws in islice(follower.draws(look), MOST_LOOKS):
                looks += 1
                after = follower.after(at, look, draws, 1)
                if after not in seen:
                    seen.add(after)
                    todo.append(after)
    return Inside(whole=looks <= MOST_LOOKS, ever=tuple(ever), always=tuple(always))


def _frees(system: System, question: Question, trace: Trace, never: Never) -> bool:
    """Whether the goal would be within reach from the end of the run with a net held otherwise."""
    made = levered(system.design)
    place = [one.name for one in system.questions].index(question.name)
    goal: Node = made.system.questions[place].goal
    part = cone(made.system, [goal])
    follower = machine(part, (goal, made.system.allowed))
    played = Bench(made, follower, trace, {})
    lever = made.levers.get(never.path)
    if lever is None or lever not in part.choices:
        return False
    own = set(made.levers.values())
    rest = {at: 0 for at, index in enumerate(part.choices) if index in own}
    end = _end(follower, played.start(), Round.of(part, Lasso(trace, 0)).stretches)
    forced = {**rest, part.choices.index(lever): 2 if never.live else 1}
    return look_round(follower, end, forced).ever[0]


def _was_needed(follower: Machine, near: Variations, press: Press) -> bool:
    """Whether there would still be a way at the end of the run without one act."""
    others = tuple(one for one in near.plan.presses if one is not press)
    steps = stretches_of(replace(near.plan, presses=others), follower)
    return look_round(follower, _end(follower, near.start, steps), {}).ever[0]
