"""Endless runs, played for ever: until the run comes back to where it was.

A run is told by its choices up to some tick and those of a round that comes again. Choices may be
held otherwise for a while, and a clock set anew where the round begins, to see what would be.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from verifier.simulate.machine import Machine, Position, machine
from verifier.simulate.onward import completed
from verifier.simulate.presses import (
    Plan,
    Press,
    Stretch,
    plan_of,
    position_in,
    stretches_of,
    trace_of,
)
from verifier.system.cone import cone
from verifier.system.model import Cone, Question, System
from verifier.verdict.answer import Outcome
from verifier.verdict.replay import replay_lasso
from verifier.verdict.trace import Lasso, Step

MOST_LOOKS = 6_000
"""A run that has not come back after so many looks is given up."""

MOST_TRIES = 150
"""So many shorter runs are tried."""


@dataclass(frozen=True, slots=True)
class Held:
    """The choice at `place` of the cone stands at `option` from `start` up to `stop` (for ever)."""

    place: int
    option: int
    start: int
    stop: int | None = None


@dataclass(frozen=True, slots=True)
class Round:
    """An endless run: stretches, those from tick `back` on again and again."""

    stretches: tuple[Stretch, ...]
    back: int

    @classmethod
    def of(cls, part: Cone, lasso: Lasso) -> "Round":
        """Return what a run does in a cone; choices that it does not have are left at rest."""
        made: list[Stretch] = []
        for step in _cut(lasso.trace.steps, lasso.back_to):
            choices = tuple(_or_rest(step.choices, index) for index in part.choices)
            draws = tuple(_or_rest(step.draws, index) for index in part.clocks)
            made.append(Stretch(step.ticks, choices, draws))
        return cls(tuple(made), lasso.back_to)

    @property
    def length(self) -> int:
        """Ticks up to the end of the first round."""
        return sum(stretch.ticks for stretch in self.stretches)

    @property
    def even(self) -> bool:
        """Whether nothing is chosen anew within the round."""
        return self.stretches[-1].ticks == self.length - self.back


@dataclass(frozen=True, slots=True)
class Played:
    """How an endless run went: the stretches, its round, and since when it waits for good.

    `waits`: the watched node is live from that tick on for ever, None where it never is so.
    """

    stretches: tuple[Stretch, ...]
    back: int
    waits: int | None


@dataclass(slots=True)
class _Player:
    machine: Machine
    run: Round
    held: Sequence[Held]
    tick: int = 0

    def now(self) -> tuple[tuple[int, ...], tuple[int, ...], int | None]:
        """Return what is chosen and wished now, and for how long (None: for ever)."""
        number, until = self._place()
        stretch = self.run.stretches[number]
        choices, lefts = list(stretch.choices), [] if until is None else [until]
        for one in self.held:
            stop = one.stop
            if one.start <= self.tick and (stop is None or self.tick < stop):
                choices[one.place] = one.option
            lefts += [at - self.tick for at in (one.start, stop) if at and at > self.tick]
        return tuple(choices), stretch.draws, min(lefts, default=None)

    def _place(self) -> tuple[int, int | None]:
        at = self.folded()
        for number, stretch in enumerate(self.run.stretches):
            if at < stretch.ticks:
                last = number == len(self.run.stretches) - 1
                return number, None if last and self.run.even else stretch.ticks - at
            at -= stretch.ticks
        raise AssertionError("a tick beyond the round")

    def folded(self) -> int:
        if self.tick < self.run.length:
            return self.tick
        if self.run.even:
            return self.run.back
        return self.run.back + (self.tick - self.run.back) % (self.run.length - self.run.back)

    def settled(self) -> bool:
        """Whether all that is held otherwise is over, or for ever."""
        ends = (one.start if one.stop is None else one.stop for one in self.held)
        return self.tick >= max([self.run.back, *ends])


def played(
    follower: Machine,
    start: Position,
    run: Round,
    held: Sequence[Held] = (),
    anew: tuple[int, int] | None = None,
) -> Played | None:
    """Return how a run goes; None: it breaks an assumption, or was not seen to come back.

    The machine watches what is waited through first and `allowed` second. `anew`: where the round
    begins first, the clock at this place shows so many ticks.
    """
    player, at = _Player(follower, run, held), start
    waits: int | None = None
    done: list[Stretch] = []
    seen: dict[tuple[Position, int], int] = {}
    for _ in range(MOST_LOOKS):
        if anew is not None and player.tick == run.back:
            clocks = (*at[1][: anew[0]], anew[1], *at[1][anew[0] + 1 :])
            at, anew = (at[0], clocks), None
        choices, wished, left = player.now()
        look = follower.look(*at, choices)
        if not look.seen[1]:
            return None
        draws = follower.fitted(look, wished)
        if player.settled():
            key = at, 0 if run.even else player.folded()
            if key in seen:
                back = seen[key]
                return Played(tuple(done), back, None if waits is None or waits > back else waits)
            seen[key] = player.tick
        waits = (player.tick if waits is None else waits) if look.seen[0] else None
        known = [one for one in (follower.longest_jump(at, look, draws), left) if one is not None]
        if anew is not None and player.tick < run.back:
            known.append(run.back - player.tick)
        ticks = min(known, default=1)
        done.append(Stretch(ticks, choices, draws))
        at = follower.after(at, look, draws, ticks)
        player.tick += ticks
    return None


def _or_rest(row: Sequence[int], index: int) -> int:
    return row[index] if index < len(row) else 0


def _cut(steps: Sequence[Step], tick: int) -> Iterator[Step]:
    """Yield the steps, one of them in two where it goes over the tick."""
    at = 0
    for step in steps:
        before = tick - at
        if 0 < before < step.ticks:
            yield replace(step, ticks=before)
            yield replace(step, ticks=step.ticks - before)
        else:
            yield step
        at += step.ticks


# --- shorter --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class Endless:
    """The endless runs near one, all watched for the same waiting."""

    system: System
    question: Question
    part: Cone
    machine: Machine
    start: Position

    @classmethod
    def of(cls, system: System, question: Question, lasso: Lasso) -> "Endless":
        """Make ready to play a run that waits for ever."""
        part = cone(system, [question.waiting])
        follower = machine(part, (question.waiting, system.allowed))
        first = lasso.trace.start
        start = follower.start() if first is None else position_in(part, first)
        return cls(system, question, part, follower, start)

    def played(self, lasso: Lasso) -> Played | None:
        """Return how a run of the system goes."""
        return played(self.machine, self.start, Round.of(self.part, lasso))

    def plan(self, lasso: Lasso) -> Plan:
        """Return the presses of a run, those of its round as far as its first end."""
        found = self.played(lasso)
        return Plan(0, (), ()) if found is None else plan_of(found.stretches)

    def resting(self, plan: Plan) -> Played | None:
        """Return the run of a plan after which nobody does anything; None: it does not wait."""
        found = played(
            self.machine, self.start, Round(stretches_of(plan, self.machine, rest=1), plan.length)
        )
        return found if found is not None and found.waits is not None else None

    def lasso(self, run: Played) -> Lasso | None:
        """Return a run as one of the whole system, None where the judge does not take it."""
        anywhere = self.question.anywhere
        trace = trace_of(self.part, run.stretches, self.start if anywhere else None)
        found = Lasso(completed(self.system, trace), run.back)
        ruling, seen = replay_lasso(self.part, found, self.question.waiting, anywhere=anywhere)
        return found if ruling.sound and seen is not None and seen.always_in_loop else None


def shorter(system: System, question: Question, outcome: Outcome) -> Outcome:
    """Return an outcome with its endless run made plain: few presses, none of them for ever."""
    lasso = outcome.lasso
    if lasso is None or question.waiting is system.pool.no:
        return outcome
    near = Endless.of(system, question, lasso)
    best: tuple[Plan, Played] | None = None
    plan = near.plan(lasso)
    left = MOST_TRIES
    tries = iter((plan,))
    while left:
        left -= 1
        one = next(tries, None)
        if one is None:
            break
        run = near.resting(one)
        if run is not None and (best is None or _cost(one, run) < _cost(*best)):
            best, tries = (one, run), _simpler(one)
    found = None if best is None else near.lasso(best[1])
    return outcome if found is None else replace(outcome, lasso=found)


def _cost(plan: Plan, run: Played) -> tuple[int, int, int]:
    held = sum(press.stop - press.start for press in plan.presses)
    return len(plan.presses), run.back + plan.length, held


def _simpler(plan: Plan) -> Iterator[Plan]:
    """Yield plans with a press less, a shorter one, or one that comes sooner."""
    for place in range(len(plan.presses)):
        yield _ended(plan, (*plan.presses[:place], *plan.presses[place + 1 :]))
    for place, press in enumerate(plan.presses):
        long = press.stop - press.start
        for stop in dict.fromkeys((press.start + 1, press.start + long // 2, press.stop - 1)):
            if press.start < stop < press.stop:
                yield _with(plan, place, replace(press, stop=stop))
        for start in dict.fromkeys((press.stop - 1, press.start + long // 2, press.start + 1)):
            if press.start < start < press.stop:
                yield _with(plan, place, replace(press, start=start))


def _with(plan: Plan, place: int, press: Press) -> Plan:
    return _ended(plan, (*plan.presses[:place], press, *plan.presses[place + 1 :]))


def _ended(plan: Plan, presses: tuple[Press, ...]) -> Plan:
    return Plan(max((one.stop for one in presses), default=0), presses, plan.draws)
