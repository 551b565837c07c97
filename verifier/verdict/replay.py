"""Looks at runs tick by tick, in the reference simulator, over the whole system.

A run that an engine hands in is believed only after this: every choice and draw is one that the
system has, every tick is allowed, the target is met at the last tick and at none before.
"""

from dataclasses import dataclass

from verifier.system.cone import cone, whole
from verifier.system.expr import Node
from verifier.system.fold import evaluate
from verifier.system.model import Cone, System
from verifier.system.program import Program, RefusedStepError, program
from verifier.system.state import State, Step, only, start_of
from verifier.verdict.ruling import SOUND, Ruling, unsure, wrong
from verifier.verdict.trace import Lasso, Trace

MOST_TICKS = 40_000_000
"""Longer runs are not replayed: the judge is then unsure."""


@dataclass(frozen=True, slots=True)
class Replayed:
    """A ruling on a run, and the state one tick after its last (None where it was refused)."""

    ruling: Ruling
    after: State | None = None


def simulator(system: System, stops: tuple[Node, ...]) -> Program:
    """Return the reference simulator of the whole system that stops at any of the nodes."""
    return program(whole(system, stops), stops)


def replay(system: System, trace: Trace, target: Node, *, anywhere: bool) -> Replayed:
    """Return whether the run is one of the system and meets the target first at its last tick."""
    fault = _fault(system, trace, anywhere=anywhere)
    if fault is not None:
        return Replayed(fault)
    forbidden = system.pool.not_(system.allowed)
    run = simulator(system, (forbidden, target))
    at = start_of(system) if trace.start is None else trace.start
    left = trace.length
    try:
        for step in trace.steps:
            ran = run.run(at, step)
            left -= ran.ticks
            if ran.met == 0:
                return Replayed(wrong("the run breaks an assumption"))
            if ran.met == 1:
                if left != 1:
                    return Replayed(wrong("the run meets its target before its last tick"))
                after, _ = run.step(ran.state, step.choices, step.draws)
                return Replayed(SOUND, after)
            at = ran.state
    except RefusedStepError as refused:
        return Replayed(wrong(str(refused)))
    return Replayed(wrong("the run does not meet its target"))


def follow(system: System, trace: Trace, *, anywhere: bool = False) -> Replayed:
    """Return the state after a run that need not meet anything, and may have no ticks at all."""
    fault = _length_fault(trace) or _start_fault(system, trace, anywhere=anywhere)
    if fault is not None:
        return Replayed(fault)
    forbidden = system.pool.not_(system.allowed)
    run = simulator(system, (forbidden,))
    at = start_of(system) if trace.start is None else trace.start
    try:
        for step in trace.steps:
            ran = run.run(at, step)
            if ran.met is not None:
                return Replayed(wrong("the run breaks an assumption"))
            at = ran.state
    except RefusedStepError as refused:
        return Replayed(wrong(str(refused)))
    return Replayed(SOUND, at)


def _fault(system: System, trace: Trace, *, anywhere: bool) -> Ruling | None:
    """Say what is wrong with the start and the length of a run; None if nothing is."""
    if not trace.steps:
        return wrong("the run has no ticks")
    return _length_fault(trace) or _start_fault(system, trace, anywhere=anywhere)


def _length_fault(trace: Trace) -> Ruling | None:
    if any(step.ticks < 1 for step in trace.steps):
        return wrong("the run has no ticks")
    if trace.length > MOST_TICKS:
        return unsure("the run is too long to be replayed")
    return None


def _start_fault(system: System, trace: Trace, *, anywhere: bool) -> Ruling | None:
    if trace.start is None:
        return None
    if not anywhere:
        return wrong("the run does not begin at the start values")
    start = trace.start
    for register, live in zip(system.registers, start.registers, strict=True):
        if not register.kept and register.start != live:
            return wrong(f"{register.name} does not begin at its start value")
    for clock, shows in zip(system.clocks, start.clocks, strict=True):
        if not clock.kept and clock.start != shows:
            return wrong(f"{clock.name} does not begin at its start value")
        if not 0 <= shows <= clock.longest:
            return wrong(f"{clock.name} cannot show {shows} ticks")
    rest = (0,) * len(system.choices)
    values = evaluate([system.domain], rest, start.registers, start.clocks)
    fits = values[system.domain.number]
    return None if fits else wrong("the run begins at values that nothing kept can have")


@dataclass(frozen=True, slots=True)
class Gap:
    """So many ticks in a row, from tick `start` on."""

    start: int
    ticks: int


@dataclass(frozen=True, slots=True)
class Seen:
    """When a node is live in an endless run.

    `first` is the first such tick (None: never), `in_loop` whether there is one in the loop,
    `always_in_loop` whether all ticks of the loop are such. `longest_gap` is the first of the
    longest gaps, which are ticks in a row without it; None where one has no end.
    """

    first: int | None
    in_loop: bool
    always_in_loop: bool
    longest_gap: Gap | None


@dataclass(frozen=True, slots=True)
class Stretch:
    """Ticks `start` up to, not with, `stop` through which a node stays as it is."""

    live: bool
    start: int
    stop: int


def replay_lasso(
    part: Cone, lasso: Lasso, node: Node, *, anywhere: bool = False
) -> tuple[Ruling, Seen | None]:
    """Return whether the endless run is one of the system, and when it has the node live.

    It is replayed over the whole system, and has to come back to its state in the cone of the node
    and of the assumptions: what else goes on has no say in either.
    """
    system = part.system
    fault = _fault(system, lasso.trace, anywhere=anywhere)
    if fault is not None:
        return fault, None
    if not 0 <= lasso.back_to < lasso.trace.length:
        return wrong("the loop does not begin inside the run"), None
    follower = _Follower(system, node)
    at, back = lasso.trace.start or start_of(system), None
    try:
        for step in _cut_at(lasso.trace.steps, lasso.back_to):
            if follower.tick == lasso.back_to:
                back = at
            found = follower.follow(at, step)
            if found is None:
                return wrong("the run breaks an assumption"), None
            at = found
    except RefusedStepError as refused:
        return wrong(str(refused)), None
    if back is None or only(part, at) != only(part, back):
        return wrong("the run does not come back to where its loop begins"), None
    return SOUND, _seen(follower.stretches, lasso.back_to)


def replay_onward(system: System, at: State, lasso: Lasso) -> Ruling:
    """Return whether the endless run keeps the assumptions for ever, begun at the given state.

    Only what the assumptions depend on is run: what else goes on has no say in them.
    """
    forbidden = system.pool.not_(system.allowed)
    part = cone(system, [forbidden])
    run = program(part, (forbidden,))
    if not 0 <= lasso.back_to < lasso.trace.length <= MOST_TICKS:
        return wrong("the loop does not begin inside the run")
    now, tick, back = only(part, at), 0, None
    try:
        for step in _cut_at(lasso.trace.steps, lasso.back_to):
            if tick == lasso.back_to:
                back = now
            ran = run.run(now, step)
            if ran.met is not None:
                return wrong("the way on breaks an assumption")
            now, tick = only(part, ran.state), tick + step.ticks
    except RefusedStepError as refused:
        return wrong(str(refused))
    return SOUND if now == back else wrong("the way on does not come back to where its loop begins")


def _cut_at(steps: tuple[Step, ...], tick: int) -> list[Step]:
    """Return the steps with one of them cut in two, so that one begins at the tick."""
    cut: list[Step] = []
    start = 0
    for step in steps:
        before = tick - start
        if 0 < before < step.ticks:
            cut.append(Step(step.choices, step.draws, before))
            cut.append(Step(step.choices, step.draws, step.ticks - before))
        else:
            cut.append(step)
        start += step.ticks
    return cut


class _Follower:
    """Follows a run tick by tick and notes when a node changes."""

    def __init__(self, system: System, node: Node) -> None:
        pool = system.pool
        forbidden = pool.not_(system.allowed)
        self.until_live = simulator(system, (forbidden, node))
        self.until_dead = simulator(system, (forbidden, pool.not_(node)))
        self.tick = 0
        self.stretches: list[Stretch] = []
        self.live = False

    def follow(self, at: State, step: Step) -> State | None:
        """Return the state after a step; None where a tick of it is not allowed."""
        left = step.ticks
        while left:
            run = self.until_dead if self.live else self.until_live
            ran = run.run(at, Step(step.choices, step.draws, left))
            if ran.met == 0:
                return None
            if ran.ticks:
                self._note(self.live, ran.ticks)
            if ran.met == 1:
                self.live = not self.live
            at, left = ran.state, left - ran.ticks
        return at

    def _note(self, live: bool, ticks: int) -> None:  # noqa: FBT001 - a fact
        last = self.stretches[-1] if self.stretches else None
        start = self.tick
        if last is not None and last.live is live:
            start = last.start
            self.stretches.pop()
        self.tick += ticks
        self.stretches.append(Stretch(live, start, self.tick))


def _ticks(gap: Gap) -> int:
    return gap.ticks


def _seen(stretches: list[Stretch], back_to: int) -> Seen:
    first = next((one.start for one in stretches if one.live), None)
    loop = [one for one in stretches if one.stop > back_to]
    in_loop = any(one.live for one in loop)
    always = all(one.live for one in loop)
    gap = None
    if in_loop:
        # The loop once more behind the run: a gap may go over the seam.
        again = [*stretches, *(Stretch(o.live, max(o.start, back_to), o.stop) for o in loop)]
        gap, now = Gap(0, 0), Gap(0, 0)
        for one in again:
            if one.live:
                now = Gap(one.stop, 0)
                continue
            now = Gap(now.start, now.ticks + one.stop - one.start)
            gap = max(gap, now, key=_ticks)
    return Seen(first, in_loop, always, gap)
