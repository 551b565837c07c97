"""A run that meets its target, and the runs near it: shorter ones, and those that leave more room.

Whatever is shown of such a run is played again by the judge's own replay first (`counts`).
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice, takewhile

from verifier.simulate.feet import Feet, feet_of, spread
from verifier.simulate.machine import Machine, Position, machine
from verifier.simulate.onward import Way, completed, way_on
from verifier.simulate.presses import Plan, Press, Stretch, plan_of, play, position_in, trace_of
from verifier.simulate.shrink import shrink
from verifier.system.cone import cone
from verifier.system.expr import Node, Op
from verifier.system.model import Form, Question, System
from verifier.verdict.answer import Outcome
from verifier.verdict.replay import replay, replay_onward
from verifier.verdict.rules import lucky
from verifier.verdict.trace import State, Trace

ROOM = 3
"""A press that may come so many ticks sooner or later, all in all, is no knife edge."""

WIDEST = 50
"""Shifts of presses are tried up to so many ticks to either side."""

MOST_EFFORT = 0.3
"""Nominal seconds (engines/contract.py) for making a run short: long ones are dear to play."""

MOST_LOOSER = 100
"""Of the runs with more time between presses so many are tried."""


MANY = 24
"""Runs with more presses are not tried without each of them: that would take too long."""


@dataclass(frozen=True, slots=True)
class Room:
    """By how many ticks a press may come sooner or later, with the same outcome each time.

    `alone`: with all other presses as they are, else with all after it moved along. `open_sooner`,
    `open_later`: that is only how far it was tried.
    """

    sooner: int
    later: int
    open_sooner: bool = False
    open_later: bool = False
    alone: bool = False

    @property
    def width(self) -> int:
        """How many other moments there are for it."""
        return self.sooner + self.later


@dataclass(frozen=True, slots=True, eq=False)
class Variations:
    """The runs near one run of a system from one start, all watched for the same target."""

    system: System
    target: Node
    anywhere: bool
    machine: Machine
    start: Position
    plan: Plan

    @classmethod
    def of(cls, system: System, target: Node, trace: Trace, *, anywhere: bool) -> "Variations":
        """Take a run apart into its presses and steps."""
        part = cone(system, [target, system.domain] if anywhere else [target])
        follower = machine(part, (target, system.allowed))
        start = follower.start() if trace.start is None else position_in(part, trace.start)
        found = cls(system, target, anywhere, follower, start, Plan(0, (), ()))
        wished = [
            Stretch(
                step.ticks,
                tuple(step.choices[index] for index in part.choices),
                tuple(step.draws[index] for index in part.clocks),
            )
            for step in trace.steps
        ]
        return replace(found, plan=found._plan(wished))

    def _plan(self, wished: Sequence[Stretch]) -> Plan:
        """Return a run as presses; a walker has one for each tick in which it sets out."""
        feet = self._feet()
        return plan_of(tuple(self._walked(wished, feet)), frozenset(feet))

    def _feet(self) -> dict[int, Feet]:
        """Return the walkers by the place of their choice in the cone."""
        found = feet_of(self.system)
        choices = self.machine.cone.choices
        return {place: found[index] for place, index in enumerate(choices) if index in found}

    def _walked(self, wished: Sequence[Stretch], feet: dict[int, Feet]) -> Iterator[Stretch]:
        """Play a run; a walker that would set out and does not, stays."""
        part, at = self.machine.cone, self.start
        for one in wished:
            left = one.ticks
            while left:
                look = self.machine.look(*at, one.choices)
                draws = self.machine.fitted(look, one.draws)
                most = self.machine.longest_jump(at, look, draws)
                ticks = left if most is None else min(most, left)
                choices = list(one.choices)
                for place, walker in feet.items():
                    if choices[place] and not walker.sets_out(
                        spread(part, at[0]), spread(part, look.registers)
                    ):
                        choices[place] = 0
                yield Stretch(ticks, tuple(choices), draws)
                at = self.machine.after(at, look, draws, ticks)
                left -= ticks

    @property
    def many(self) -> bool:
        """Whether there are too many presses to try each of them."""
        return len(self.plan.presses) > MANY

    def meets(self, plan: Plan) -> int | None:
        """Return the tick at which a plan meets the target first, None if it does not."""
        run = play(self.machine, plan, self.start)
        return None if run is None else sum(one.ticks for one in run) - 1

    # --- shorter ----------------------------------------------------------------------------------

    def shortest(self, *, soonest: bool = False) -> "Variations":
        """Return the same for a run that is as short as was found, with as few presses.

        `soonest`: it is known that none gets there sooner.
        """
        run = play(self.machine, self.plan, self.start)
        if run is None:
            return self
        left = MOST_EFFORT

        def pay(effort: float) -> bool:
            nonlocal left
            left -= effort
            return left > 0

        short = shrink(self.machine, run, self.start, pay, soonest=soonest)
        return replace(self, plan=self._plan(short))

    def trace(self) -> Trace | None:
        """Return the run of the whole system, None where the judge does not take it as one."""
        run = play(self.machine, self.plan, self.start)
        if run is None:
            return None
        start = self.start if self.anywhere else None
        trace = completed(self.system, trace_of(self.machine.cone, run, start))
        return trace if self.is_judged_sound(trace) else None

    def is_judged_sound(self, trace: Trace) -> bool:
        """Whether the judge takes this for a run that meets the target first at its last tick."""
        replayed = replay(self.system, trace, self.target, anywhere=self.anywhere)
        return replayed.ruling.sound and self._goes_on(replayed.after)

    def _goes_on(self, after: State | None) -> bool:
        if self.system.allowed is self.system.pool.yes:
            return True
        way, lasso = way_on(self.system, after)
        if way is not Way.FOUND or lasso is None or after is None:
            return False
        return replay_onward(self.system, after, lasso).sound

    # --- what is needed of it ---------------------------------------------------------------------

    def without(self, press: Press) -> int | None:
        """Return when the run meets the target all the same without one press, None if never.

        It is followed for as long again as the run lasts.
        """
        presses = tuple(one for one in self.plan.presses if one is not press)
        return self.meets(replace(self.plan, presses=presses, length=2 * self.plan.length))

    def room(self, place: int, most: int = WIDEST) -> Room:
        """Return how far the press at this place may be moved, alone or with all after it."""
        along = self._room(place, most, alone=False)
        if along.width or place == len(self.plan.presses) - 1:
            return along
        alone = self._room(place, most, alone=True)
        return alone if alone.width else along

    def _room(self, place: int, most: int, *, alone: bool) -> Room:
        ways = range(1, most + 1)
        kept = (
            (lambda by: self._moved(place, -by, alone=alone)),
            (lambda by: self._moved(place, by, alone=alone)),
        )
        sooner, later = (sum(1 for _ in takewhile(keeps, ways)) for keeps in kept)
        return Room(sooner, later, sooner == most, later == most, alone)

    def _moved(self, place: int, by: int, *, alone: bool) -> bool:
        plan = shifted(self.plan, place, by, alone=alone)
        return plan is not None and self.meets(plan) is not None

    # --- roomier ----------------------------------------------------------------------------------

    def tightness(self) -> int:
        """Return the least room that a press has, at most ROOM."""
        rooms = [self.room(place, ROOM).width for place in range(len(self.plan.presses))]
        return min([ROOM, *rooms])

    def roomy(self) -> "Variations | None":
        """Return the shortest run found near this one that is no knife edge; None: none is."""
        found: list[Variations] = []
        for plan in islice(_looser(self.plan), MOST_LOOSER):
            tick = self.meets(plan)
            if tick is None:
                continue
            near = replace(self, plan=_ending(plan, tick + 1))
            if near.tightness() >= ROOM:
                found.append(near)
        return min(found, key=lambda one: one.plan.cost, default=None)


def _ending(plan: Plan, length: int) -> Plan:
    presses = tuple(replace(one, stop=min(one.stop, length)) for one in plan.presses)
    draws = tuple(draw for draw in plan.draws if draw.at < length)
    kept = tuple(one for one in presses if one.start < length)
    return replace(plan, length=length, presses=kept, draws=draws)


def shifted(plan: Plan, place: int, by: int, *, alone: bool = False) -> Plan | None:
    """Return the plan with the press at this place, and all after it unless `alone`, moved.

    None: it cannot be moved so far.
    """
    last = place + 1 if alone else len(plan.presses)
    kept, moved = (*plan.presses[:place], *plan.presses[last:]), plan.presses[place:last]
    first = moved[0].start
    if place and first + by < 0:
        # No press comes before tick 0: those before it come later instead.
        wait = -first - by
        kept = tuple(_later(one, wait) for one in kept)
        by = -first
    later = tuple(_later(one, by) for one in moved)
    if first + by < 0 or any(map(_overlaps(kept, plan.steps), later)):
        return None
    draws = tuple(
        replace(draw, at=max(draw.at + by, 0)) if draw.at >= first and not alone else draw
        for draw in plan.draws
    )
    length, presses = plan.length + abs(by) + 3 * ROOM, tuple(sorted((*kept, *later)))
    return replace(plan, length=length, presses=presses, draws=draws)


def _later(press: Press, by: int) -> Press:
    return replace(press, start=press.start + by, stop=press.stop + by)


def _overlaps(kept: tuple[Press, ...], steps: frozenset[int]) -> Callable[[Press], bool]:
    """Return whether a press meets another of its choice; steps may follow at once."""

    def overlaps(one: Press) -> bool:
        apart = 0 if one.choice in steps else 1
        return any(
            one.choice == other.choice
            and one.start < other.stop + apart
            and other.start < one.stop + apart
            for other in kept
        )

    return overlaps


_STRETCHES = (1, 2, 3, 4, 6)


def _looser(plan: Plan) -> Iterator[Plan]:
    """Yield plans with more time between presses, or with presses that are held for longer."""
    for place in range(len(plan.presses)):
        for by in (*_STRETCHES, *(-one for one in _STRETCHES)):
            moved = shifted(plan, place, by)
            if moved is not None:
                yield moved
                yield from _held(moved)
    yield from _held(replace(plan, length=plan.length + WIDEST))


def _held(plan: Plan) -> Iterator[Plan]:
    for place, press in enumerate(plan.presses):
        if press.choice in plan.steps:
            continue
        others = (*plan.presses[:place], *plan.presses[place + 1 :])
        for by in _STRETCHES:
            longer = replace(press, stop=press.stop + by)
            if not _overlaps(others, plan.steps)(longer):
                yield replace(plan, presses=tuple(sorted((*others, longer))))


def shortened(system: System, question: Question, outcome: Outcome) -> Outcome:
    """Return an outcome with its run made short: in time, then presses, then held ticks.

    A run from anywhere then begins like the design, but for what it needs otherwise.
    """
    trace = outcome.trace
    if trace is None or outcome.lasso is not None or question.form is Form.OPEN:
        return outcome
    if lucky(system, question):
        return outcome  # the run that was proved to serve; a shorter one may owe it to luck
    target = question.goal if question.form is Form.REACH else question.bad
    found = Variations.of(system, target, trace, anywhere=question.anywhere)
    short = found.shortest(soonest=outcome.earliest)
    better = short.trace() if short.plan.cost < found.plan.cost else None
    plainer = _plainly_begun(found, better or trace)
    return outcome if plainer is trace else replace(outcome, trace=plainer)


MOST_PUT_BACK = 100
"""So many kept values of a start are put back to those of the design, to see if they matter."""


def _plainly_begun(run: Variations, trace: Trace) -> Trace:
    """Return the same run from a start of which all that does not matter is as in the design."""
    if trace.start is None:
        return trace
    for registers, clocks in islice(_kept_together(run.system), MOST_PUT_BACK):
        start = _put_back(run.system, trace.start, registers, clocks)
        if start != trace.start and run.is_judged_sound(replace(trace, start=start)):
            trace = replace(trace, start=start)
    return trace


def _kept_together(system: System) -> Iterator[tuple[set[int], set[int]]]:
    """Yield registers and clocks of all that each part keeps, then of each thing that is kept."""
    kept = {one.net.path: one.net.part for one in system.design.kept}
    kept.update((timer.path, timer.part) for timer in system.design.timers)
    alone: dict[str, tuple[set[int], set[int]]] = {}
    parts: dict[str, tuple[set[int], set[int]]] = {}
    for path, part in kept.items():
        bits = system.shown[path]
        registers = {node.data[0] for node in bits.nodes if node.op is Op.REGISTER}
        clocks = set() if bits.timer is None else {bits.timer}
        alone[path] = registers, clocks
        of_part = parts.setdefault(part or path, (set(), set()))
        of_part[0].update(registers)
        of_part[1].update(clocks)
    yield from parts.values()
    yield from alone.values()


def _put_back(system: System, start: State, registers: set[int], clocks: set[int]) -> State:
    """Return a start with some registers and clocks as the design has them."""
    return State(
        tuple(
            one.start if at in registers else live
            for at, (one, live) in enumerate(zip(system.registers, start.registers, strict=True))
        ),
        tuple(
            one.start if at in clocks else left
            for at, (one, left) in enumerate(zip(system.clocks, start.clocks, strict=True))
        ),
    )
