"""The judge's own picture of one tick: no jumps, nothing cut away, written to be read.

An invariant is sound if it holds at the start, excludes the target, and is kept by each tick that
the assumptions allow. That clocks show 0 up to their longest span is part of what a clock is: start
values and loads lie in that range (checked here), and counting down never leaves it.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import assert_never

from verifier.logic.native import Result, Room, Term
from verifier.logic.terms import Options, encode, options
from verifier.system.cone import cone
from verifier.system.expr import Node, Op, reachable
from verifier.system.fold import leaves
from verifier.system.model import Clock, Cone, Load, System
from verifier.verdict.ruling import SOUND, Ruling, unsure, wrong


@dataclass(frozen=True, slots=True)
class Tick:
    """State and choices at one tick, by index in the system."""

    registers: dict[int, Term]
    clocks: dict[int, Term]
    choices: dict[int, Options]


@dataclass(frozen=True, slots=True)
class Limits:
    """How much the judge may spend on one query: the solver's own steps, and seconds."""

    steps: int
    seconds: float


def values(room: Room, at: Tick, roots: Sequence[Node]) -> list[Term]:
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


def any_tick(room: Room, part: Cone) -> Tick:
    """Return a tick of which only the ranges of clocks are known."""
    system = part.system
    clocks = {index: room.whole() for index in part.clocks}
    for index, term in clocks.items():
        room.claim(room.above(term, -1))
        room.claim(room.not_(room.above(term, system.clocks[index].longest)))
    return Tick(
        registers={index: room.flag() for index in part.registers},
        clocks=clocks,
        choices={
            index: options(room, len(system.choices[index].options)) for index in part.choices
        },
    )


def first_tick(room: Room, part: Cone, *, anywhere: bool) -> Tick:
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


def next_tick(room: Room, part: Cone, at: Tick) -> Tick:
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


def _next_clock(room: Room, at: Tick, clock: Clock, shows: Term) -> Term:
    runs, *loads = values(room, at, [clock.runs, *(load.when for load in clock.loads)])
    less = room.minus(shows, room.number(1))
    value = room.if_(room.and_((runs, room.above(shows, 0))), less, shows)
    for load, taken in reversed(list(zip(clock.loads, loads, strict=True))):
        value = room.if_(taken, _loaded(room, load, shows), value)
    return value


def _loaded(room: Room, load: Load, shows: Term) -> Term:
    if load.turned:
        rest = room.minus(room.number(load.low), shows)
        return room.if_(room.above(rest, 0), rest, room.number(0))
    if load.low == load.high:
        return room.number(load.low)
    drawn = room.whole()
    room.claim(room.at_most(room.number(load.low), drawn))
    room.claim(room.at_most(drawn, room.number(load.high)))
    return drawn


def judge_invariant(
    system: System, node: Node, target: Node, limits: Limits, *, anywhere: bool
) -> Ruling:
    """Return whether the node is an invariant of the system that excludes the target."""
    fault = _malformed(system, node)
    if fault:
        return wrong(fault)
    roots = [node, target, system.domain] if anywhere else [node, target]
    part = cone(system, roots)

    def start(room: Room) -> None:
        tick = first_tick(room, part, anywhere=anywhere)
        room.claim(room.not_(values(room, tick, [node])[0]))

    def meets(room: Room) -> None:
        tick = any_tick(room, part)
        for term in values(room, tick, [node, system.allowed, target]):
            room.claim(term)

    def leaves_it(room: Room) -> None:
        tick = any_tick(room, part)
        for term in values(room, tick, [node, system.allowed]):
            room.claim(term)
        after = next_tick(room, part, tick)
        room.claim(room.not_(values(room, after, [node])[0]))

    return _all_excluded(
        (
            (start, "does not hold at the start"),
            (meets, "does not exclude what it should"),
            (leaves_it, "is left by a tick"),
        ),
        limits,
    )


def _all_excluded(queries: Sequence[tuple[Callable[[Room], None], str]], limits: Limits) -> Ruling:
    """Return sound if each query, in a fresh solver of its own, has no answer."""
    for build, words in queries:
        with Room() as room:
            build(room)
            result = room.check(steps=limits.steps, seconds=limits.seconds)
        match result:
            case Result.SAT:
                return wrong(f"the invariant {words}")
            case Result.UNKNOWN:
                return unsure("the solver could not judge the invariant in time")
            case Result.UNSAT:
                pass
    return SOUND


def _malformed(system: System, node: Node) -> str:
    """Return what forbids a node as an invariant; "" if nothing does."""
    if leaves([node])[Op.PICK]:
        return "the invariant speaks of choices"
    for clock in system.clocks:
        spans = [(load.low, load.high) for load in clock.loads]
        if clock.start < 0 or any(not 0 <= low <= high for low, high in spans):
            return f"the spans of `{clock.name}` are out of range"
    return ""
