"""The judge's own picture of one tick: no jumps, nothing cut away, written to be read.

An invariant is sound if it holds at the start, excludes the target, and is kept by each tick that
the assumptions allow. Over k ticks (M. Sheeran, S. Singh, G. Stalmarck, FMCAD 2000) the first k
states of each run have to meet it, and so does the state after any k in a row that do. That clocks
show 0 up to their longest span is part of what a clock is: start values and loads lie in that range
(checked here), and counting down never leaves it.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import assert_never

from verifier.logic import second
from verifier.logic.native import Result, Room, Term
from verifier.logic.terms import Options, Terms, encode, options
from verifier.system.cone import cone
from verifier.system.expr import Node, Op, reachable
from verifier.system.fold import leaves
from verifier.system.model import Clock, Cone, Load, System
from verifier.verdict.ruling import BOTH, SOLVER, Ruling, sound, unsure, wrong

MOST_TICKS = 100
"""An induction over more ticks than this is not looked at."""


@dataclass(frozen=True, slots=True)
class Tick:
    """State and choices at one tick, by index in the system."""

    registers: dict[int, Term]
    clocks: dict[int, Term]
    choices: dict[int, Options]


@dataclass(frozen=True, slots=True)
class Limits:
    """How much the judge may spend on one query: the solver's own steps, and seconds.

    `second`: what the solver excludes is asked of a second one too, where that is installed.
    """

    steps: int
    seconds: float
    second: bool = False


def values(room: Terms, at: Tick, roots: Sequence[Node]) -> list[Term]:
    """Return the roots as terms over the tick."""

    def leaf(node: Node) -> Term:
        match node.op:
            case Op.PICK:
                return at.choices[node.data[0]].taken[node.data[1]]
            case Op.REGISTER:
                return at.registers[node.data[0]]
            case Op.ABOVE:
                return room.above(at.clocks[node.data[0]], node.data[1])
            case Op.GAP:
                one, other, ticks = node.data
                gap = room.minus(at.clocks[one], at.clocks[other])
                return room.not_(room.above(gap, ticks))
            case Op.CONST | Op.NOT | Op.AND | Op.OR | Op.IF:
                raise AssertionError(node)
            case _:
                assert_never(node.op)

    made = encode(room, reachable(roots), leaf, {})
    return [made[root.number] for root in roots]


def any_tick(room: Terms, part: Cone) -> Tick:
    """Return a tick of which only the ranges of clocks are known."""
    system = part.system
    clocks = {index: room.whole() for index in part.clocks}
    for index, term in clocks.items():
        room.claim(room.above(term, -1))
        room.claim(room.not_(room.above(term, system.clocks[index].longest)))
    return Tick(
        registers={index: room.flag() for index in part.registers},
        clocks=clocks,
        choices=any_choices(room, part),
    )


def any_choices(room: Terms, part: Cone) -> dict[int, Options]:
    """Return choices of which nothing is known."""
    system = part.system
    return {index: options(room, len(system.choices[index].options)) for index in part.choices}


def first_tick(room: Terms, part: Cone, *, anywhere: bool) -> Tick:
    """Return tick 0; from anywhere kept state is free within the domain."""
    system = part.system
    tick = any_tick(room, part)
    for index in part.registers:
        register = system.registers[index]
        if not (anywhere and register.kept):
            tick.registers[index] = room.const(register.start)
    for index in part.clocks:
        clock = system.clocks[index]
        if not (anywhere and clock.kept):
            tick.clocks[index] = room.number(clock.start)
    if anywhere:
        room.claim(values(room, tick, [system.domain])[0])
    return tick


def next_tick(room: Terms, part: Cone, at: Tick) -> Tick:
    """Return the tick after; its choices are left open (they are those of `at`, unused)."""
    system = part.system
    nexts = values(room, at, [system.registers[index].next for index in part.registers])
    return Tick(
        registers=dict(zip(part.registers, nexts, strict=True)),
        clocks={
            index: _next_clock(room, at, system.clocks[index], at.clocks[index])
            for index in part.clocks
        },
        choices=at.choices,
    )


def _next_clock(room: Terms, at: Tick, clock: Clock, shows: Term) -> Term:
    runs, *loads = values(room, at, [clock.runs, *(load.when for load in clock.loads)])
    less = room.minus(shows, room.number(1))
    value = room.if_(room.and_((runs, room.above(shows, 0))), less, shows)
    for load, taken in reversed(list(zip(clock.loads, loads, strict=True))):
        value = room.if_(taken, loaded(room, load, shows), value)
    return value


def loaded(room: Terms, load: Load, shows: Term) -> Term:
    """Return what a clock shows after a load, which may be drawn: anew with each call."""
    if load.turned:
        rest = room.minus(room.number(load.low), shows)
        return room.if_(room.above(rest, 0), rest, room.number(0))
    if load.low == load.high:
        return room.number(load.low)
    drawn = room.whole()
    room.claim(room.at_most(room.number(load.low), drawn))
    room.claim(room.at_most(drawn, room.number(load.high)))
    return drawn


def row(room: Terms, part: Cone, first: Tick, length: int) -> list[Tick]:
    """Return ticks in a row, each with choices and draws of its own; all but the last allowed."""
    ticks = [first]
    while len(ticks) < length:
        room.claim(values(room, ticks[-1], [part.system.allowed])[0])
        after = next_tick(room, part, ticks[-1])
        ticks.append(replace(after, choices=any_choices(room, part)))
    return ticks


Query = tuple[Callable[[Terms], None], str]
"""What a query claims, and what is wrong with an invariant where all of it can hold at once."""


def judge_invariant(
    system: System, node: Node, target: Node, limits: Limits, *, anywhere: bool, ticks: int = 1
) -> Ruling:
    """Return whether the node is an invariant, by induction over so many ticks, without target."""
    fault = _malformed(system, node, ticks)
    if fault:
        return wrong(fault)
    roots = [node, target, system.domain] if anywhere else [node, target]
    part = cone(system, roots)

    def begins(length: int) -> Query:
        def build(room: Terms) -> None:
            last = row(room, part, first_tick(room, part, anywhere=anywhere), length)[-1]
            room.claim(room.not_(values(room, last, [node])[0]))

        return build, "does not hold at the start"

    def meets(room: Terms) -> None:
        tick = any_tick(room, part)
        for term in values(room, tick, [node, system.allowed, target]):
            room.claim(term)

    def leaves_it(room: Terms) -> None:
        *before, last = row(room, part, any_tick(room, part), ticks + 1)
        for tick in before:
            room.claim(values(room, tick, [node])[0])
        room.claim(room.not_(values(room, last, [node])[0]))

    return all_excluded(
        [
            *(begins(1 + gone) for gone in range(ticks)),
            (meets, "does not exclude what it should"),
            (leaves_it, "is left by a tick"),
        ],
        limits,
    )


def all_excluded(queries: Sequence[Query], limits: Limits) -> Ruling:
    """Return sound if each query, in a fresh solver of its own, has no answer."""
    both = limits.second
    for build, words in queries:
        with Room() as room:
            build(room)
            result = room.check(steps=limits.steps, seconds=limits.seconds)
        if result is Result.SAT:
            return wrong(f"the invariant {words}")
        if result is Result.UNKNOWN:
            return unsure("the solver could not judge the invariant in time")
        if both:
            opinion = second.ask(build, limits.seconds)
            if opinion is Result.SAT:
                return wrong(f"a second solver finds that the invariant {words}")
            both = opinion is Result.UNSAT
    return sound(BOTH if both else SOLVER)


def _malformed(system: System, node: Node, ticks: int) -> str:
    """Return what forbids a node as an invariant; "" if nothing does."""
    own = system.pool.nodes
    # Terms are kept by number, so a stranger would be taken for one of the system's own.
    if any(one.number >= len(own) or own[one.number] is not one for one in reachable([node])):
        return "the invariant is made of expressions of another system"
    read = leaves([node])
    if read[Op.PICK]:
        return "the invariant speaks of choices"
    registers, clocks = len(system.registers), len(system.clocks)
    if any(index >= registers for index in read[Op.REGISTER]):
        return "the invariant speaks of registers that are not there"
    if any(index >= clocks for index in read[Op.ABOVE]):
        return "the invariant speaks of clocks that are not there"
    if not 1 <= ticks <= MOST_TICKS:
        return "the invariant goes over no ticks, or over too many"
    for clock in system.clocks:
        spans = [(load.low, load.high) for load in clock.loads]
        if clock.start < 0 or any(not 0 <= low <= high for low, high in spans):
            return f"the spans of `{clock.name}` are out of range"
    return ""
