"""Systems with a little more in them, so that a proof of "never" answers other questions too.

Each variant keeps all of the system and adds a choice, registers or a clock behind the others, and
a target that is never met exactly where the answer is yes. The engine that looks for a proof and
the judge that checks it both make the variant here, from the same few numbers.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from verifier.system.expr import Node, Op, Pool
from verifier.system.fold import replaced
from verifier.system.model import Choice, Clock, Load, Register, System
from verifier.system.state import State
from verifier.verdict.evidence import Act
from verifier.verdict.trace import Trace


@dataclass(frozen=True, slots=True)
class Variant:
    """A system with more in it, and what must never be met there."""

    system: System
    target: Node


def before(system: System, target: Node, last: int) -> Variant:
    """Return: the target is met at tick `last` or before."""
    pool, index = system.pool, len(system.clocks)
    age = Clock("age", last + 1, (), pool.yes, kept=False)
    early = pool.and_(target, pool.above(index, 0))
    return Variant(replace(system, clocks=(*system.clocks, age)), early)


def patience(system: System, waiting: Node, ticks: int) -> Variant:
    """Return: some run waits for more than `ticks` ticks on end."""
    pool, index = system.pool, len(system.clocks)
    loads = (Load(pool.not_(waiting), ticks, ticks),)
    clock = Clock("patience", ticks, loads, pool.yes, kept=False)
    over = pool.and_(waiting, pool.not_(pool.above(index, 0)))
    return Variant(replace(system, clocks=(*system.clocks, clock)), over)


def begun_at(system: System, state: State) -> System:
    """Return the system with other start values."""
    registers = (
        replace(one, start=live)
        for one, live in zip(system.registers, state.registers, strict=True)
    )
    clocks = (replace(one, start=now) for one, now in zip(system.clocks, state.clocks, strict=True))
    return replace(system, registers=tuple(registers), clocks=tuple(clocks))


def guided(system: System, goal: Node, script: Sequence[Act], within: int) -> Variant:
    """Return: acting by the script from some moment on breaks an assumption or misses the goal.

    People act as they like until a moment of their choice; from then on, that tick included, the
    choices are those of the script. The goal is missed where it is not met at one of the ticks 0 ..
    `within` from that moment. Where neither ever happens, the goal can be reached from every state
    that can be reached, and the assumptions are kept for ever on the way and after it.
    """
    pool = system.pool
    begin, held = len(system.choices), len(system.registers)
    now = pool.or_(pool.register(held), pool.pick(begin, 1))
    scripted = _acting(system, goal, script, within, now, done=held + 1)
    *registers, reached = scripted.system.registers
    return Variant(
        replace(
            scripted.system,
            choices=(*system.choices, Choice("guide", ("not yet", "from now on"), is_press=False)),
            registers=(*registers, Register("guided", start=False, next=now, kept=False), reached),
        ),
        scripted.target,
    )


def certain(system: System, goal: Node, script: Sequence[Act], within: int) -> Variant:
    """Return: acting by the script from the start breaks an assumption or misses the goal.

    The goal is missed where it is not met at one of the ticks 0 .. `within`. Where neither ever
    happens, the goal comes however spans are drawn, and the assumptions are kept for ever.
    """
    return _acting(system, goal, script, within, system.pool.yes, done=len(system.registers))


def drawn(system: System, *, longest: bool) -> System:
    """Return the system in which all spans come out at the upper, or lower, end of their range.

    A run from anywhere may still begin with any of them: a load that never comes keeps the range of
    what a clock can show.
    """

    def end(load: Load) -> Load:
        span = load.high if longest else load.low
        return replace(load, low=span, high=span)

    def ended(clock: Clock) -> Clock:
        never = Load(system.pool.no, clock.longest, clock.longest)
        return replace(clock, loads=(*map(end, clock.loads), never))

    return replace(system, clocks=tuple(map(ended, system.clocks)))


def _acting(
    system: System, goal: Node, script: Sequence[Act], within: int, now: Node, *, done: int
) -> Variant:
    """Return: the goal is missed, or an assumption broken, in a tick in which people act by script.

    They do while `now`, from its first tick on. Adds, behind all others, a register (its index will
    be `done`) that tells whether the goal was met since, and a clock with the time that is left.
    """
    pool, left = system.pool, len(system.clocks)
    scripted = _scripted(pool, script, left, within + 1)
    swap = _swapped(system, [goal], now, scripted)
    reached = pool.or_(pool.register(done), pool.and_(now, swap[goal.number]))
    registers = (
        *(replace(one, next=swap[one.next.number]) for one in system.registers),
        Register("reached", start=False, next=reached, kept=False),
    )
    waits = (Load(pool.not_(now), within + 1, within + 1),)
    clocks = (
        *(_clock(one, swap) for one in system.clocks),
        Clock("left", within + 1, waits, pool.yes, kept=False),
    )
    allowed = swap[system.allowed.number]
    late = pool.and_(pool.not_(pool.above(left, 0)), pool.not_(pool.register(done)))
    variant = replace(system, registers=registers, clocks=clocks, allowed=pool.or_(now, allowed))
    return Variant(variant, pool.and_(now, pool.or_(pool.not_(allowed), late)))


def acts_of(trace: Trace) -> tuple[Act, ...]:
    """Return the choices of a run as a script."""
    return tuple(Act(step.choices, step.ticks) for step in trace.steps)


def misfit(system: System, script: Sequence[Act]) -> str:
    """Return what keeps a script from being one that people can act by; "" if nothing does."""
    if not script or any(act.ticks < 1 for act in script):
        return "the plan has no acts, or one without ticks"
    options = [len(choice.options) for choice in system.choices]
    for act in script:
        if len(act.choices) != len(options):
            return "the plan does not fit the system's choices"
        if not all(0 <= one < count for one, count in zip(act.choices, options, strict=True)):
            return "the plan takes an option that is not there"
    return ""


def _clock(clock: Clock, swap: Mapping[int, Node]) -> Clock:
    loads = tuple(replace(load, when=swap[load.when.number]) for load in clock.loads)
    return replace(clock, loads=loads, runs=swap[clock.runs.number])


def _scripted(
    pool: Pool, script: Sequence[Act], left: int, span: int
) -> Mapping[tuple[int, int], Node]:
    """Return for each choice and option when the script takes it, told by a clock."""
    found: dict[tuple[int, int], list[Node]] = {}
    gone = 0
    for place, act in enumerate(script):
        begun = pool.not_(pool.above(left, span - gone)) if gone else pool.yes
        gone += act.ticks
        last = place == len(script) - 1
        over = pool.no if last else pool.not_(pool.above(left, span - gone))
        during = pool.and_(begun, pool.not_(over))
        for choice, option in enumerate(act.choices):
            found.setdefault((choice, option), []).append(during)
    return {key: pool.or_(*times) for key, times in found.items()}


def _swapped(
    system: System,
    roots: Sequence[Node],
    now: Node,
    scripted: Mapping[tuple[int, int], Node],
) -> Mapping[int, Node]:
    """Return every expression of the system with choices replaced by the script from `now` on."""
    pool = system.pool

    def leaf(node: Node) -> Node:
        if node.op is not Op.PICK:
            return node
        return pool.if_(now, scripted.get((node.data[0], node.data[1]), pool.no), node)

    nexts = [register.next for register in system.registers]
    whens = [load.when for clock in system.clocks for load in clock.loads]
    runs = [clock.runs for clock in system.clocks]
    return replaced(pool, [*roots, *nexts, *whens, *runs, system.allowed], leaf)
